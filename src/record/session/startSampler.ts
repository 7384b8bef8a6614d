import type { Sensors } from '../sensors/findSensors.js'
import { type CounterState, type SampledRow, sampleRow } from '../sensors/sampleRow.js'
import { formatRow } from './formatRecording.js'
import { powerGauge } from './powerColumn.js'
import type { LiveSample, RecordingWorld } from './recordingWorld.js'

/** What is sampled, how often, and where a cut recording goes on (null for a new one). */
export interface SamplerPlan {
  readonly sensors: Sensors
  readonly everyS: number
  readonly resumed: { readonly elapsedS: number; readonly counters: CounterState } | null
}

/** What was sampled. Seconds count from the log's first sample. */
export interface Sampled {
  readonly samples: number
  readonly durationS: number
  /** Samples in which one or more counters, or the power itself, did not answer. */
  readonly incomplete: number
  /** Samples before which the energy is not known. */
  readonly unknown: number
  /** When the machine slept, and for how long. */
  readonly sleeps: readonly { readonly atS: number; readonly forS: number }[]
}

/** Takes samples at an even pace and writes them as rows. */
export interface Sampler {
  /** Takes a sample, unless the last is closer than `leastStepS` (a quarter of the interval). */
  readonly take: (phase: string, leastStepS?: number) => void
  /** Seconds since the log's first sample, time asleep included. */
  readonly elapsedS: () => number
  readonly waitForNext: (cut: AbortSignal, atMostS: number) => Promise<void>
  readonly counts: () => Sampled
}

/** A sampler whose first sample is due now. */
export function startSampler({ sensors, everyS, resumed }: SamplerPlan, world: RecordingWorld): Sampler {
  const startS = world.now()
  const asleep = watchSleep(world)
  const gauge = powerGauge(sensors)
  let state: CounterState | undefined = resumed?.counters
  let [samples, incomplete, unknown, firstS, lastS] = [0, 0, 0, 0, Number.NEGATIVE_INFINITY]
  const sleeps: { atS: number; forS: number }[] = []
  const sinceStartS = () => world.now() - startS + asleep.totalS()
  const elapsedS = () => (resumed?.elapsedS ?? 0) + sinceStartS()

  const take = (phase: string, leastStepS = everyS / 4): void => {
    const sleptS = asleep.notice()
    // Time is read just before the counters; reading them takes far less than a stamp's millisecond.
    const [atS, epochMs] = [elapsedS(), world.epochMs()]
    if (atS - lastS < leastStepS) return
    if (sleptS > 0) sleeps.push({ atS: atS - sleptS, forS: sleptS })
    const broken = sleptS > 0 || (samples === 0 && resumed !== null)
    const sampled = sampleRow(world.tree, sensors, state, { atS, broken })
    world.writeLine(formatRow({ elapsedS: atS, epochMs, phase }, sampled.row, sensors))
    world.onSample?.(liveSample(sampled.row, { atS, lastS, phase, gauge }))
    state = sampled.state
    if (samples === 0) firstS = atS
    samples++
    const hasPower = gauge === null || sampled.row.gauges[gauge] !== undefined
    if (!hasPower || sampled.row.energiesUj.includes(undefined)) incomplete++
    else if (gauge === null && samples > 1 && sampled.row.packagesGainUj === undefined) unknown++
    lastS = atS
  }
  return {
    take,
    elapsedS,
    waitForNext: (cut, atMostS) => {
      const dueS = (Math.floor(sinceStartS() / everyS + DUE_SLACK) + 1) * everyS
      return world.wait(Math.min(dueS - sinceStartS(), atMostS), cut)
    },
    counts: () => ({ samples, incomplete, unknown, sleeps, durationS: samples === 0 ? 0 : lastS - firstS }),
  }
}

// A timer that fires a hair early belongs to the slot that it was set for.
const DUE_SLACK = 1e-3

// Coarser than any reading of the two clocks (the second one may count in hundredths), finer than any sleep.
const SHORTEST_SLEEP_S = 1

/** Time asleep, from two clocks of which one stands still meanwhile. */
function watchSleep({ now, bootS }: RecordingWorld) {
  let apartS = bootS() - now()
  let totalS = 0
  return {
    /** Seconds slept since the last call. */
    notice: (): number => {
      const nowApartS = bootS() - now()
      const sleptS = nowApartS - apartS
      apartS = nowApartS
      if (sleptS < SHORTEST_SLEEP_S) return 0
      totalS += sleptS
      return sleptS
    },
    totalS: () => totalS,
  }
}

interface LiveMoment {
  readonly atS: number
  readonly lastS: number
  readonly phase: string
  /** Place of the power among the gauges; null for the energy counters. */
  readonly gauge: number | null
}

function livePowerW(row: SampledRow, { atS, lastS, gauge }: LiveMoment): number | undefined {
  if (gauge === null)
    return row.packagesGainUj === undefined ? undefined : row.packagesGainUj / 1e6 / (atS - lastS)
  const powerUw = row.gauges[gauge]
  return powerUw === undefined || powerUw < 0 ? undefined : powerUw / 1e6
}

function liveSample(row: SampledRow, moment: LiveMoment): LiveSample {
  const temperatures = row.temperaturesMilliC.filter((value) => value !== undefined)
  return {
    elapsedS: moment.atS,
    phase: moment.phase,
    powerW: livePowerW(row, moment),
    temperatureC: temperatures.length === 0 ? undefined : Math.max(...temperatures) / 1000,
    clockHz: row.clockKhz === undefined ? undefined : row.clockKhz * 1000,
  }
}
