import type { Trace } from '../../log/trace.js'
import type { LiveSample } from './recordingWorld.js'

/** The samples of a recording so far, in memory that does not grow. */
export interface PowerTrail {
  readonly add: (sample: LiveSample) => void
  /** Undefined before there are two powers. */
  readonly trace: () => Trace | undefined
  /** Time of the recording at which the trace begins, s: its own times count from 0. */
  readonly traceStartS: () => number
  /** Time-mean and highest power, W; undefined before there is one. */
  readonly figures: () => { readonly meanW: number; readonly highestW: number } | undefined
}

/** Neighbours are averaged when there are more: half an hour at 1 Hz stays whole. */
const MOST_KEPT = 2048

/** Keeps at most `MOST_KEPT` powers, each the mean over the interval that ends at its time, as a log would have them. */
export function powerTrail(mostKept = MOST_KEPT): PowerTrail {
  let kept: Kept[] = []
  let [each, pending, energyJ, timeS, highestW] = [1, [] as Kept[], 0, 0, 0]
  let lastS: number | undefined
  const keep = (sample: Kept): void => {
    pending.push(sample)
    if (pending.length < each) return
    kept.push(pending.length === 1 ? pending[0]! : mean(pending))
    pending = []
    if (kept.length < mostKept) return
    kept = Array.from({ length: kept.length >> 1 }, (_, i) => mean([kept[2 * i]!, kept[2 * i + 1]!]))
    each *= 2
  }
  return {
    add: ({ elapsedS, powerW, temperatureC }) => {
      const stepS = elapsedS - (lastS ?? elapsedS)
      lastS = elapsedS
      if (powerW === undefined || stepS <= 0) return
      energyJ += powerW * stepS
      timeS += stepS
      highestW = Math.max(highestW, powerW)
      keep({ endS: elapsedS, stepS, powerW, temperatureC: temperatureC ?? Number.NaN })
    },
    trace: () => (kept.length < 2 ? undefined : traceOf(kept)),
    traceStartS: () => kept[0]?.endS ?? 0,
    figures: () => (timeS === 0 ? undefined : { meanW: energyJ / timeS, highestW }),
  }
}

interface Kept {
  readonly endS: number
  readonly stepS: number
  readonly powerW: number
  readonly temperatureC: number
}

function mean(samples: readonly Kept[]): Kept {
  const stepS = samples.reduce((sum, sample) => sum + sample.stepS, 0)
  const of = (value: (sample: Kept) => number) =>
    samples.reduce((sum, sample) => sum + value(sample) * sample.stepS, 0) / stepS
  return {
    endS: samples.at(-1)!.endS,
    stepS,
    powerW: of((sample) => sample.powerW),
    temperatureC: of((sample) => sample.temperatureC),
  }
}

function traceOf(kept: readonly Kept[]): Trace {
  const steps = kept.map(({ stepS }) => stepS).sort((a, b) => a - b)
  const temperatureC = Float64Array.from(kept, (sample) => sample.temperatureC)
  return {
    timesS: Float64Array.from(kept, ({ endS }) => endS - kept[0]!.endS),
    powerW: Float64Array.from(kept, ({ powerW }) => powerW),
    temperatureC: temperatureC.every(Number.isNaN) ? null : temperatureC,
    clockHz: null,
    intervalS: steps[steps.length >> 1]!,
    startEpochS: null,
    startOfDayS: null,
  }
}
