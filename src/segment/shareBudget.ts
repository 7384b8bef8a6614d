import type { Trace } from '../log/trace.js'
import { correlationTime } from '../numeric/statistics/correlationTime.js'
import { type Estimate, estimateFromStandardError } from '../numeric/statistics/estimate.js'
import type { Load } from './load.js'

/** How one budget of power was shared: the parts and the rest add up to the total exactly. */
export interface BudgetShares {
  readonly totalW: number
  readonly processorW: Estimate
  readonly graphicsW: Estimate
  /** What neither of the two took: memory, the rest of the chip, losses. */
  readonly restW: Estimate
}

/** A stretch of a log, s. */
interface TimeRange {
  readonly startS: number
  readonly endS: number
}

/**
 * What processor and graphics took of a load's power in some stretch of it, as time-means over its runs.
 *
 * @returns undefined where the log has no such parts, too few samples, or parts that can't be of this budget: they exceed it, or what they leave
 * of it varies more than what one of them leaves
 */
export function shareBudget(trace: Trace, load: Load, { startS, endS }: TimeRange): BudgetShares | undefined {
  const { parts } = trace
  if (parts == null) return undefined
  const all = samplesOf(trace, load, load)
  const own = samplesOf(trace, load, { startS, endS })
  if (own.length < LEAST_SAMPLES || !areParts(trace, all)) return undefined
  const totalW = meanOf(trace, own, (i) => trace.powerW[i]!)
  const processorW = meanOf(trace, own, (i) => parts.processorW[i]!)
  const graphicsW = meanOf(trace, own, (i) => parts.graphicsW[i]!)
  const restOf = (i: number) => trace.powerW[i]! - parts.processorW[i]! - parts.graphicsW[i]!
  return {
    totalW,
    processorW: estimated(
      processorW,
      own.map((i) => parts.processorW[i]!),
    ),
    graphicsW: estimated(
      graphicsW,
      own.map((i) => parts.graphicsW[i]!),
    ),
    restW: estimated(totalW - processorW - graphicsW, own.map(restOf)),
  }
}

/** Fewer show no scatter. */
const LEAST_SAMPLES = 5
/** Sensors of parts and of the whole agree to a few per cent; common practice, no source. */
const MOST_OF_TOTAL = 1.03
/** A part that hardly varies says nothing of whether it is one. */
const LEAST_VARIATION = 0.01

/** Samples of runs that hold all three powers, within a stretch. */
function samplesOf(trace: Trace, { runs }: Load, { startS, endS }: TimeRange): number[] {
  const parts = trace.parts!
  const inside: number[] = []
  trace.timesS.forEach((timeS, i) => {
    const fromS = i === 0 ? timeS - trace.intervalS : trace.timesS[i - 1]!
    if (fromS < startS - 1e-9 || timeS > endS + 1e-9) return
    if (!runs.some((run) => fromS >= run.startS - 1e-9 && timeS <= run.endS + 1e-9)) return
    if (Number.isFinite(parts.processorW[i]! + parts.graphicsW[i]!)) inside.push(i)
  })
  return inside
}

function areParts({ powerW, parts }: Trace, samples: readonly number[]): boolean {
  const { processorW, graphicsW } = parts!
  const over = samples.filter((i) => processorW[i]! + graphicsW[i]! > MOST_OF_TOTAL * powerW[i]!)
  if (over.length > samples.length / 10) return false
  const left = varianceOf(samples, (i) => powerW[i]! - processorW[i]! - graphicsW[i]!)
  const least = (LEAST_VARIATION * meanOver(samples, (i) => powerW[i]!)) ** 2
  return [processorW, graphicsW].every((part, k) => {
    const other = k === 0 ? graphicsW : processorW
    if (varianceOf(samples, (i) => part[i]!) < least) return true
    return left < varianceOf(samples, (i) => powerW[i]! - other[i]!)
  })
}

type ValueAt = (sample: number) => number

function meanOver(samples: readonly number[], at: ValueAt): number {
  return samples.reduce((sum, i) => sum + at(i), 0) / samples.length
}

function varianceOf(samples: readonly number[], at: ValueAt): number {
  const middle = meanOver(samples, at)
  return meanOver(samples, (i) => (at(i) - middle) ** 2)
}

/** Mean over time: a sample stands for the interval that ends at it. */
function meanOf({ timesS, intervalS }: Trace, samples: readonly number[], at: ValueAt): number {
  let [sum, seconds] = [0, 0]
  for (const i of samples) {
    const lasted = i === 0 ? intervalS : timesS[i]! - timesS[i - 1]!
    sum += at(i) * lasted
    seconds += lasted
  }
  return sum / seconds
}

/** Mean with Student's interval; of correlated samples the effective number counts. */
function estimated(value: number, values: readonly number[]): Estimate {
  const middle = values.reduce((sum, each) => sum + each, 0) / values.length
  const residuals = values.map((each) => each - middle)
  const effective = Math.max(2, values.length / correlationTime(residuals))
  const variance = residuals.reduce((sum, residual) => sum + residual ** 2, 0) / (values.length - 1)
  return estimateFromStandardError({
    value,
    standardError: Math.sqrt(variance / effective),
    degreesOfFreedom: effective - 1,
  })
}
