import type { Sensors } from './findSensors.js'
import { formatHeader, formatRow, type Phase } from './formatRecording.js'
import { type CounterState, sampleRow } from './sampleRow.js'
import type { SysfsTree } from './sysfsTree.js'

/** The clock and the streams that a recording uses. */
export interface RecordingWorld {
  readonly tree: SysfsTree
  /** Seconds on a clock that never jumps. */
  readonly now: () => number
  /** Milliseconds since 1970 UTC. */
  readonly epochMs: () => number
  /** Waits this many seconds; `cut` resolving ends the wait. */
  readonly wait: (seconds: number, cut: Promise<unknown>) => Promise<void>
  readonly writeLine: (line: string) => void
}

/** What is to be recorded, and how. */
export interface RecordingPlan {
  readonly sensors: Sensors
  readonly everyS: number
  readonly beforeS: number
  readonly afterS: number
  /** Starts the command; resolves when it has ended. */
  readonly run: () => Promise<unknown>
  /** Resolves when the recording is to stop early; a running command is still waited for. */
  readonly stop: Promise<unknown>
  /** Lines to write above the header. */
  readonly preamble: readonly string[]
}

/** What was recorded. Seconds count from the first sample. */
export interface Recording {
  readonly samples: number
  readonly durationS: number
  readonly commandStartS: number
  readonly commandEndS: number
  /** Samples that one or more sensors did not answer. */
  readonly incomplete: number
}

/**
 * Records all sensors at an even pace: some time idle before the command, while it runs, and some time after it.
 *
 * Samples are due at multiples of the interval from the first one, so that lateness never adds up; one that is missed
 * altogether is left out rather than squeezed in.
 */
export async function recordLog(plan: RecordingPlan, world: RecordingWorld): Promise<Recording> {
  const sampler = startSampler(plan, world)
  for (const line of plan.preamble) world.writeLine(line)
  world.writeLine(formatHeader(plan.sensors))
  await sampleUntil(sampler, { phase: 'before', forS: plan.beforeS, end: plan.stop })
  sampler.take('before')
  const commandStartS = sampler.elapsedS()
  await sampleUntil(sampler, { phase: 'command', forS: Number.POSITIVE_INFINITY, end: plan.run() })
  const commandEndS = sampler.elapsedS()
  await sampleUntil(sampler, { phase: 'after', forS: plan.afterS, end: plan.stop })
  sampler.take('after', MIN_STEP_S)
  const { samples, incomplete, lastS } = sampler.counts()
  return { samples, durationS: lastS, commandStartS, commandEndS, incomplete }
}

interface Sampler {
  /** Takes a sample, unless the last is closer than `leastStepS` (a quarter of the interval). */
  readonly take: (phase: Phase, leastStepS?: number) => void
  readonly elapsedS: () => number
  readonly waitForNext: (cut: Promise<unknown>, atMostS: number) => Promise<void>
  readonly counts: () => { readonly samples: number; readonly incomplete: number; readonly lastS: number }
}

function startSampler({ sensors, everyS }: RecordingPlan, world: RecordingWorld): Sampler {
  const startS = world.now()
  let state: CounterState | undefined
  let [samples, incomplete, lastS] = [0, 0, Number.NEGATIVE_INFINITY]
  const elapsedS = () => world.now() - startS
  return {
    elapsedS,
    take: (phase, leastStepS = everyS / 4) => {
      // Time is read just before the counters; reading them takes far less than a stamp's millisecond.
      const [atS, epochMs] = [elapsedS(), world.epochMs()]
      if (atS - lastS < leastStepS) return
      const sampled = sampleRow(world.tree, sensors, state)
      state = sampled.state
      samples++
      if (sampled.row.energiesUj.includes(undefined)) incomplete++
      lastS = atS
      world.writeLine(formatRow({ elapsedS: atS, epochMs, phase }, sampled.row, sensors))
    },
    waitForNext: (cut, atMostS) => {
      const dueS = (Math.floor(elapsedS() / everyS + DUE_SLACK) + 1) * everyS
      return world.wait(Math.min(dueS - elapsedS(), atMostS), cut)
    },
    counts: () => ({ samples, incomplete, lastS: samples === 0 ? 0 : lastS }),
  }
}

// Two samples closer than this would share their millisecond stamp.
const MIN_STEP_S = 0.002
// A timer that fires a hair early belongs to the slot that it was set for.
const DUE_SLACK = 1e-3

interface Stretch {
  readonly phase: Phase
  readonly forS: number
  readonly end: Promise<unknown>
}

async function sampleUntil(sampler: Sampler, { phase, forS, end }: Stretch): Promise<void> {
  let ended = false
  const over = end.finally(() => {
    ended = true
  })
  const untilS = sampler.elapsedS() + forS
  const cut = over.catch(() => undefined)
  while (!ended && sampler.elapsedS() < untilS) {
    sampler.take(phase)
    await sampler.waitForNext(cut, untilS - sampler.elapsedS())
  }
  // A command that could not be started has failed by now, and that is the caller's to hear.
  if (forS === Number.POSITIVE_INFINITY) await over
}
