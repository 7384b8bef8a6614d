import type { Trace } from '../../log/trace.js'
import { bisectRight } from '../../numeric/bisectRight.js'
import { concatenate } from '../../numeric/concatenate.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { thin, thinnedFrom } from '../../numeric/thin.js'
import type { IndexRange, Split } from '../indexRange.js'
import { joinOverSpikes } from './joinOverSpikes.js'

/** A stretch of work as sample indices: samples `from` to `to - 1` run, apart from the pauses between runs. */
export interface Span {
  readonly from: number
  readonly to: number
  readonly runs: readonly IndexRange[]
  /** Power between loads, W; null when the log never idles. */
  readonly idleW: number | null
}

/** Pauses shorter than this stay inside a load: the contract's definition. */
const LONGEST_PAUSE_S = 30
/** Work above idle of less than this share of a load's usual one is background: chassis hold no less than half of what they peak at. */
const WEAK_SHARE = 0.3

/**
 * Stretches of work in a trace, and the pauses inside them.
 *
 * The power between loads is the lowest cluster of the samples; work is what lies above the middle between that and the
 * lower powers of work. A log that never idles is one load. What works at less than a third of the usual power of the longest load, and
 * stands alone, is background and no load.
 */
export function findSpans(trace: Trace): readonly Span[] {
  const power = trace.powerW
  const split = findIdle(power)
  const n = power.length
  // A column of zeros, or a counter that stands still, is no load of 0 W.
  if (!power.some((watts) => watts > 0)) return []
  if (split === null) return [{ from: 0, to: n, runs: [{ from: 0, to: n }], idleW: null }]
  const ranges = dropBlips(workRanges(trace, split))
  const groups = groupByPause(ranges, trace)
  return dropBackground(
    groups.map((runs) => trimBackground(runs, power, split)),
    power,
    split,
  )
}

/** Idle power and the threshold of work; null when the lowest powers are part of the work. */
function findIdle(power: Float64Array): Split | null {
  const sorted = smoothed(power).sort()
  const lowest = sorted[Math.floor(0.01 * (sorted.length - 1))]!
  const noiseW = medianNoise(power)
  const clusterTo = bisectRight(sorted, Math.max(1.5 * Math.max(lowest, 0.5) + 1, lowest + 5 * noiseW))
  const idleW = sortedQuantile(sorted, 0, clusterTo, 0.5)
  const idleNoiseW = Math.max(sortedQuantile(sorted, 0, clusterTo, 0.9) - idleW, 0.05)
  let thresholdW = Math.max(1.6 * idleW, idleW + Math.max(4 * idleNoiseW, 4 * noiseW), 1)
  for (let pass = 0; pass < 6; pass++) {
    const workFrom = bisectRight(sorted, thresholdW)
    if (sorted.length - workFrom < 2) return null
    thresholdW = 0.5 * (idleW + sortedQuantile(sorted, workFrom, sorted.length, 0.1))
  }
  const workFrom = bisectRight(sorted, thresholdW)
  if (sorted.length - workFrom < 2) return null
  const ratio = sortedQuantile(sorted, workFrom, sorted.length, 0.1) / Math.max(idleW, 0.1)
  // A log that begins in its load and ends low may be a burst and what it settled at: then the gap has to be wide.
  const beginsAtWork = power[0]! > thresholdW
  const returns = lastAbove(power, thresholdW) > firstBelow(power, thresholdW)
  if (ratio < (beginsAtWork && !returns ? 4 : 2)) return null
  return { idleW, thresholdW, idleNoiseW }
}

/**
 * Noise from the median difference of neighbours: in a coarse log of a loop every fourth sample stands beside a pause, which would
 * count in any mean.
 */
function medianNoise(power: Float64Array): number {
  const steps = thinnedFrom(power.length - 1, ENOUGH, (i) => Math.abs(power[i + 1]! - power[i]!))
  // The median absolute difference of two normal samples is 0.954 standard deviations.
  return Math.max(quantile(steps, 0.5) / 0.954, 0.05)
}

/** `quantile` of part of values that are sorted already. */
function sortedQuantile(sorted: Float64Array, from: number, to: number, share: number): number {
  const position = (to - from - 1) * share
  const below = from + Math.floor(position)
  const low = sorted[below]!
  const high = sorted[Math.min(below + 1, to - 1)]!
  return low === high ? low : low + (position - Math.floor(position)) * (high - low)
}

function firstBelow(power: Float64Array, threshold: number): number {
  for (let i = 0; i < power.length; i++) if (medianOfThree(power, i) <= threshold) return i
  return power.length
}

function lastAbove(power: Float64Array, threshold: number): number {
  for (let i = power.length - 1; i >= 0; i--) if (medianOfThree(power, i) > threshold) return i
  return -1
}

/** So many samples tell where idle ends and work begins. */
const ENOUGH = 2 ** 17

/** Medians of three neighbours, a selection of them in a long log; the caller's own. */
function smoothed(power: Float64Array): Float64Array {
  return thinnedFrom(power.length, ENOUGH, (i) => medianOfThree(power, i))
}

/** Median of a sample and its neighbours; the first and last stand for themselves. */
function medianOfThree(power: Float64Array, i: number): number {
  const value = power[i]!
  if (i === 0 || i === power.length - 1) return value
  const before = power[i - 1]!
  const after = power[i + 1]!
  return Math.max(Math.min(before, value), Math.min(Math.max(before, value), after))
}

function workRanges(trace: Trace, split: Split): IndexRange[] {
  const power = trace.powerW
  const ranges: IndexRange[] = []
  let from = -1
  for (let i = 0; i <= power.length; i++) {
    const works = i < power.length && power[i]! > split.thresholdW
    if (works && from < 0) from = i
    if (!works && from >= 0) {
      ranges.push({ from, to: i })
      from = -1
    }
  }
  return joinOverSpikes(ranges, trace, split)
}

/** Work of one sample alone is a spike. */
function dropBlips(ranges: readonly IndexRange[]): IndexRange[] {
  return ranges.filter((range) => range.to - range.from >= 2)
}

function groupByPause(ranges: readonly IndexRange[], trace: Trace): IndexRange[][] {
  const groups: IndexRange[][] = []
  for (const range of ranges) {
    const group = groups.at(-1)
    const last = group?.at(-1)
    if (group && last && pauseS(trace, last.to, range.from) < LONGEST_PAUSE_S) group.push(range)
    else groups.push([range])
  }
  return groups
}

function pauseS(trace: Trace, to: number, from: number): number {
  return trace.timesS[from - 1]! - trace.timesS[to - 1]!
}

/** Takes weak work off the ends of a load: a blip shortly before it is not its first run. */
function trimBackground(runs: readonly IndexRange[], power: Float64Array, split: Split): Span {
  const usualW = usualPower(runs, power)
  const most = 0.2 * sampleCount(runs)
  const weak = (run: IndexRange) =>
    quantile(power.subarray(run.from, run.to), 0.5) - split.idleW < WEAK_SHARE * (usualW - split.idleW)
  let first = 0
  let last = runs.length - 1
  while (first < last && weak(runs[first]!) && sampleCount(runs.slice(0, first + 1)) <= most) first++
  while (last > first && weak(runs[last]!) && sampleCount(runs.slice(last)) <= most) last--
  const kept = runs.slice(first, last + 1)
  return { from: kept[0]!.from, to: kept.at(-1)!.to, runs: kept, idleW: split.idleW }
}

function sampleCount(runs: readonly IndexRange[]): number {
  return runs.reduce((sum, run) => sum + run.to - run.from, 0)
}

function usualPower(runs: readonly IndexRange[], power: Float64Array): number {
  const values = concatenate(runs.map(({ from, to }) => power.subarray(from, to)))
  return quantile(thin(values, ENOUGH), 0.5)
}

function dropBackground(spans: readonly Span[], power: Float64Array, split: Split): readonly Span[] {
  if (spans.length === 0) return spans
  const longest = spans.reduce((best, span) => (span.to - span.from > best.to - best.from ? span : best))
  const usualW = usualPower(longest.runs, power)
  return spans.filter(
    (span) => usualPower(span.runs, power) - split.idleW >= WEAK_SHARE * (usualW - split.idleW),
  )
}
