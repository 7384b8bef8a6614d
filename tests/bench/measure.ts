import { Bench } from 'tinybench'
import { quantile } from '../../src/numeric/statistics/quantile.js'

/** Something whose time is taken: a function of this process, or another process that times itself. */
export interface Contender {
  readonly name: string
  /** Measured here, in processor time. */
  readonly run?: () => unknown
  /** Measured elsewhere: milliseconds a call, several of them; undefined where the peer is not installed. */
  readonly samplesMs?: () => readonly number[] | undefined
}

/** A contender with its times; without them it was left out. */
export interface Measured {
  readonly name: string
  readonly times: Times | undefined
}

/** Milliseconds a call: median over rounds, and the quickest and slowest round. */
export interface Times {
  readonly medianMs: number
  readonly lowMs: number
  readonly highMs: number
}

/** Rounds that everything is measured in, one contender after the other, so that a busy spell hits all alike. */
const ROUNDS = 5

/**
 * Takes the time of contenders side by side, in rounds. A round's figure is the median of its calls; calls are repeated until
 * they fill `roundMs`, after a warm-up that lets the compiler finish.
 */
export async function measure(
  contenders: readonly Contender[],
  { roundMs = 100, rounds = ROUNDS }: { readonly roundMs?: number; readonly rounds?: number } = {},
): Promise<readonly Measured[]> {
  const here = contenders.filter((contender) => contender.run)
  const medians = new Map<string, number[]>(here.map(({ name }) => [name, []]))
  for (let round = 0; round < rounds; round++) {
    const bench = new Bench({
      now: processorMs,
      time: roundMs,
      iterations: 1,
      // Later rounds find everything compiled.
      warmup: round === 0,
      warmupTime: roundMs,
      warmupIterations: 1,
      throws: true,
    })
    for (const { name, run } of here) bench.add(name, () => void run!())
    for (const task of await bench.run()) {
      if (task.result.state === 'completed') medians.get(task.name)!.push(task.result.latency.p50)
    }
  }
  return contenders.map(({ name, samplesMs }) => ({
    name,
    times: summarise(samplesMs ? samplesMs() : medians.get(name)),
  }))
}

/** Processor time of this process, user and system, in milliseconds: other processes on the machine don't count. */
function processorMs(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

function summarise(samplesMs: readonly number[] | undefined): Times | undefined {
  if (!samplesMs?.length) return undefined
  return {
    medianMs: quantile(samplesMs, 0.5),
    lowMs: Math.min(...samplesMs),
    highMs: Math.max(...samplesMs),
  }
}
