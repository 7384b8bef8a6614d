import type { Trace } from '../../log/trace.js'
import { linearLeastSquares } from '../../numeric/leastSquares/linearLeastSquares.js'
import type { PacedSamples, PacedSpan } from './pacedSamples.js'

/** What a smooth curve over power leaves of the pace. */
export interface RateResiduals {
  readonly residuals: readonly number[]
  /** Mean square of the residuals. */
  readonly meanSquare: number
}

/**
 * Residuals of ln rate about a parabola in ln power, with the power of `lagS` earlier.
 *
 * @returns null with too few samples that have a power
 */
export function rateResiduals(samples: PacedSamples, trace: Trace, lagS: number): RateResiduals | null {
  const powersW = powersAt(trace, samples.timesS, samples.stepS, lagS)
  const known = powersW.flatMap((powerW, i) => (powerW > 0 ? [i] : []))
  if (known.length < LEAST_SAMPLES) return null
  const logs = known.map((i) => Math.log(powersW[i]!))
  const middle = logs.reduce((sum, log) => sum + log, 0) / logs.length
  const { residuals } = linearLeastSquares({
    design: logs.map((log) => [1, log - middle, (log - middle) ** 2]),
    values: known.map((i) => samples.logRates[i]!),
  })
  const meanSquare = residuals.reduce((sum, residual) => sum + residual ** 2, 0) / residuals.length
  return { residuals, meanSquare }
}

/** A parabola and its scatter. */
const LEAST_SAMPLES = 8

/**
 * How alike the changes of pace and power are, with the power of `lagS` earlier: the correlation of their differences over a few samples. It
 * is highest where each step of the pace meets the step of the power that made it, also on a staircase of even steps, where the pace of one step fits
 * the power of another as smoothly. Only power within the spans counts: the rise from idle is no step of the work.
 *
 * @returns -1 to 1; 0 where either doesn't change
 */
export function rateChangesAlike(
  samples: PacedSamples,
  trace: Trace,
  spans: readonly PacedSpan[],
  lagS: number,
): number {
  const powersW = powersAt(trace, samples.timesS, samples.stepS, lagS)
  let [both, powers, rates] = [0, 0, 0]
  for (let i = CHANGE_OVER; i < powersW.length; i++) {
    const power = Math.log(powersW[i]! / powersW[i - CHANGE_OVER]!)
    const rate = samples.logRates[i]! - samples.logRates[i - CHANGE_OVER]!
    const isWork = (timeS: number) => spans.some(({ startS, endS }) => timeS > startS && timeS < endS)
    if (!Number.isFinite(power) || !isWork(samples.timesS[i - CHANGE_OVER]! - lagS - 2 * samples.stepS))
      continue
    both += power * rate
    powers += power * power
    rates += rate * rate
  }
  return powers > 0 && rates > 0 ? both / Math.sqrt(powers * rates) : 0
}

/** Samples: a step that falls into an interval is over in the next. */
const CHANGE_OVER = 3

/** Mean power over a sample's interval, `lagS` earlier; NaN outside the log. */
function powersAt(
  { timesS, powerW, intervalS }: Trace,
  endsS: Float64Array,
  stepS: number,
  lagS: number,
): number[] {
  const energies = new Float64Array(timesS.length)
  for (let i = 1; i < timesS.length; i++) {
    energies[i] = energies[i - 1]! + powerW[i]! * (timesS[i]! - timesS[i - 1]!)
  }
  let at = 1
  const energyAt = (timeS: number): number => {
    if (timeS < timesS[0]! || timeS > timesS.at(-1)!) return Number.NaN
    while (at > 1 && timesS[at - 1]! > timeS) at--
    while (at < timesS.length - 1 && timesS[at]! < timeS) at++
    return energies[at - 1]! + powerW[at]! * (timeS - timesS[at - 1]!)
  }
  const widthS = Math.max(stepS, intervalS)
  return Array.from(endsS, (endS) => (energyAt(endS - lagS) - energyAt(endS - lagS - widthS)) / widthS)
}
