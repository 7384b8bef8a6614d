import { InputError } from '../../errors.js'
import { quickselect } from '../../numeric/quickselect.js'
import type { SeriesColumn } from '../columns/measuredColumn.js'
import { usualSteps } from '../time/stepsOf.js'
import { isGap, type Trace } from '../trace.js'
import { buildSeries } from './buildSeries.js'
import type { StartOf } from './findStart.js'
import { type OrderedSamples, placesOf } from './orderedSamples.js'
import { pickAt } from './pickAt.js'
import type { RepairList } from './repairList.js'

/** The trace of the samples that have a power; lost samples, gaps and impossible temperatures are reported. */
export function buildTrace(
  samples: OrderedSamples,
  { power, series, startOf }: TraceParts,
  repairs: RepairList,
): Trace {
  const kept = placesOf(power)
  if (kept.length < 2) {
    throw new InputError(
      'too-few-samples',
      `expected at least 2 samples with a possible power, got ${kept.length}`,
      {
        remedy: 'pick another column with --power "NAME"',
      },
    )
  }
  const originS = samples.timesS[kept[0]!]!
  const timesS = since(pickAt(samples.timesS, kept), originS)
  const lengthS = timesS.at(-1)!
  if (!(lengthS >= LEAST_LENGTH_S && lengthS <= MOST_LENGTH_S)) {
    throw new InputError(
      'times-unusable',
      `expected a log of 1 ms to 100 years, got times over ${lengthS} s`,
      {
        remedy: 'pick another column with --time "NAME", or give the sampling interval with --every 1s',
      },
    )
  }
  const lines = pickAt(samples.lines, kept)
  return {
    timesS,
    powerW: pickAt(power, kept),
    ...buildSeries(samples, { series, kept }, repairs),
    intervalS: reportGaps(timesS, lines, repairs),
    ...startOf(kept[0]!),
  }
}

interface TraceParts {
  /** W, NaN for samples to be set aside. */
  readonly power: Float64Array
  readonly series: readonly SeriesColumn[]
  readonly startOf: StartOf
}

function since(timesS: Float64Array, originS: number): Float64Array {
  if (originS === 0) return timesS
  return timesS.map((time) => time - originS)
}

// Outside of these the column is no time, or its stamps are broken beyond mending.
const LEAST_LENGTH_S = 1e-3
const MOST_LENGTH_S = 100 * 366 * 86_400

// A step this many times the usual one has lost a sample: jitter of half an interval is common.
const LOST_INTERVALS = 1.6

/** So many steps in a row of one length are another sampling rate: losing each second sample so often is no chance. */
const STEPS_OF_A_RATE = 5
/** Within this share steps are of one length. */
const SAME_STEP = 0.2

/** Whether a step is one of several in a row that are as long: the logger sampled at another rate there. */
function isOtherRate(timesS: Float64Array, index: number): boolean {
  const stepAt = (i: number) => timesS[i + 1]! - timesS[i]!
  const isAlike = (i: number) => Math.abs(stepAt(i) / stepAt(index) - 1) < SAME_STEP
  let [from, to] = [index, index + 1]
  while (from > 0 && to - from < STEPS_OF_A_RATE && isAlike(from - 1)) from--
  while (to + 1 < timesS.length && to - from < STEPS_OF_A_RATE && isAlike(to)) to++
  return to - from >= STEPS_OF_A_RATE
}

/** Median interval; single lost samples, and pauses of the logger, are reported and left as they are. */
function reportGaps(timesS: Float64Array, lines: Int32Array, repairs: RepairList): number {
  const usual = usualSteps(timesS)
  const intervalS = quickselect(usual, Math.floor(usual.length / 2))
  const lost: number[] = []
  const gaps: number[] = []
  let [lostCount, longestS] = [0, 0]
  for (let i = 0; i + 1 < timesS.length; i++) {
    const step = timesS[i + 1]! - timesS[i]!
    if (isGap(step, intervalS)) {
      gaps.push(lines[i + 1]!)
      longestS = Math.max(longestS, step)
    } else if (step > LOST_INTERVALS * intervalS && !isOtherRate(timesS, i)) {
      lost.push(lines[i + 1]!)
      lostCount += Math.round(step / intervalS) - 1
    }
  }
  if (lost.length > 0) {
    const detail = 'samples missing; the interval that follows is longer'
    repairs.add('missing', lost[0], detail, lostCount)
  }
  repairs.addLines('gap', gaps, `no samples for up to ${Number(longestS.toPrecision(4))} s`)
  return intervalS
}
