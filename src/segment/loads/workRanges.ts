import type { Trace } from '../../log/trace.js'
import { concatenate } from '../../numeric/concatenate.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { thin } from '../../numeric/thin.js'
import type { IndexRange } from '../indexRange.js'
import { joinOverSpikes } from './joinOverSpikes.js'
import type { PowerLevel } from './powerLevels.js'

/** Samples `from` to `to - 1` at work, without a pause, and the idle power on either side, W; null at an end of the log. */
export interface WorkRange extends IndexRange {
  readonly idleBeforeW: number | null
  readonly idleAfterW: number | null
  /** Power comes and goes faster than the samples follow: they show its mean, and no level. */
  readonly unresolved?: true
}

/**
 * Stretches of work as ranges of samples, cut at their pauses: power is at work above the middle between the idle power beside it and the lower
 * powers of the work itself.
 */
export function findWorkRanges(
  trace: Trace,
  levels: readonly PowerLevel[],
  activity: readonly IndexRange[],
): readonly WorkRange[] {
  const stretches = joinNear(
    activity.map(({ from, to }) => {
      const work = { from: levels[from]!.from, to: levels[to - 1]!.to }
      return { ...work, leastW: lowestHeld(levels.slice(from, to)), work: [work] }
    }),
  )
  return stretches.flatMap((stretch, k) => {
    const before = { from: stretches[k - 1]?.to ?? 0, to: stretch.from }
    const after = { from: stretch.to, to: stretches[k + 1]?.from ?? trace.powerW.length }
    return cutAtPauses(trace, stretch, { before, after })
  })
}

/** Work held for so long is no edge and no part of a pause, s. */
const HELD_S = 8

/** The lowest power of work that is held for a while, W. */
function lowestHeld(levels: readonly PowerLevel[]): number {
  const held = levels.filter(({ lengthS }) => lengthS >= HELD_S)
  return Math.min(...held.map(({ levelW }) => levelW))
}

/** Stretches a few samples apart are cut anew, for a coarse log shows some pauses of a loop and not others. */
const NEAR_SAMPLES = 4

function joinNear(stretches: readonly WorkStretch[]): readonly WorkStretch[] {
  const joined: WorkStretch[] = []
  for (const stretch of stretches) {
    const last = joined.at(-1)
    if (last && stretch.from - last.to <= NEAR_SAMPLES) {
      const leastW = Math.min(last.leastW, stretch.leastW)
      joined[joined.length - 1] = {
        from: last.from,
        to: stretch.to,
        leastW,
        work: [...last.work, ...stretch.work],
      }
    } else joined.push(stretch)
  }
  return joined
}

interface WorkStretch extends IndexRange {
  readonly leastW: number
  /** What of it is work for sure. */
  readonly work: readonly IndexRange[]
}

/** Idle for so long beside work tells what the work rises from, s; and so many samples may average over the edge. */
const BESIDE_S = 5
const EDGE_SAMPLES = 2

function cutAtPauses(
  trace: Trace,
  stretch: WorkStretch,
  { before, after }: { readonly before: IndexRange; readonly after: IndexRange },
): readonly WorkRange[] {
  const idleBefore = idleBeside(trace, before, 'end')
  const idleAfter = idleBeside(trace, after, 'start')
  if (idleBefore === null && idleAfter === null)
    return [{ from: stretch.from, to: stretch.to, idleBeforeW: null, idleAfterW: null }]
  const idle = [idleBefore, idleAfter].filter((side) => side !== null)
  const idleW = Math.max(...idle.map((side) => side.idleW))
  const work = concatenate(stretch.work.map(({ from, to }) => trace.powerW.subarray(from, to)))
  const thresholdW = workThreshold(work, stretch.leastW, idleW)
  const window = {
    from: Math.max(before.from, stretch.from - EDGE_SAMPLES),
    to: Math.min(after.to, stretch.to + EDGE_SAMPLES),
  }
  const split = { idleW, thresholdW, idleNoiseW: Math.max(...idle.map((side) => side.spreadW)) }
  const ranges = joinOverSpikes(above(trace.powerW, window, thresholdW), trace, split)
  return ranges.map((range, k) => ({
    ...range,
    idleBeforeW: k === 0 ? (idleBefore?.idleW ?? null) : lowest(trace, ranges[k - 1]!.to, range.from),
    idleAfterW:
      k === ranges.length - 1 ? (idleAfter?.idleW ?? null) : lowest(trace, range.to, ranges[k + 1]!.from),
  }))
}

/** So many samples tell a quantile. */
const ENOUGH = 2 ** 15
/** Passes after which the threshold stands still. */
const PASSES = 4

/**
 * Middle between idle and the lower powers of work, W: their 10 % point, without the samples that average over an edge, and no level that
 * is held for a while.
 */
function workThreshold(powerW: Float64Array, leastW: number, idleW: number): number {
  let work = thin(powerW, ENOUGH)
  let thresholdW = idleW
  for (let pass = 0; pass < PASSES && work.length > 0; pass++) {
    const lowerW = Math.min(quantile(work, 0.1), leastW)
    thresholdW = 0.5 * (idleW + Math.max(lowerW, idleW))
    work = work.filter((watts) => watts > thresholdW)
  }
  return thresholdW
}

/** Median of the idle samples next to an edge, and how far they spread; null when there are none. */
function idleBeside(
  { timesS, powerW }: Trace,
  { from, to }: IndexRange,
  side: 'start' | 'end',
): { readonly idleW: number; readonly spreadW: number } | null {
  if (to - from < 1) return null
  const spare = Math.min(EDGE_SAMPLES, to - from - 1)
  let [first, last] = side === 'end' ? [from, to - spare] : [from + spare, to]
  if (side === 'end') while (timesS[last - 1]! - timesS[first]! > BESIDE_S && last - first > 3) first++
  else while (timesS[last - 1]! - timesS[first]! > BESIDE_S && last - first > 3) last--
  const values = powerW.subarray(first, last)
  const idleW = quantile(values, 0.5)
  return { idleW, spreadW: Math.max(quantile(values, 0.9) - idleW, LEAST_SPREAD_W) }
}

const LEAST_SPREAD_W = 0.05

function above(powerW: Float64Array, { from, to }: IndexRange, thresholdW: number): readonly IndexRange[] {
  const ranges: IndexRange[] = []
  for (let i = from; i < to; i++) {
    if (!(powerW[i]! > thresholdW)) continue
    const last = ranges.at(-1)
    if (last && last.to === i) ranges[ranges.length - 1] = { from: last.from, to: i + 1 }
    else ranges.push({ from: i, to: i + 1 })
  }
  return ranges
}

/** Idle power of a pause, whose samples may average over both of its edges. */
function lowest({ powerW }: Trace, from: number, to: number): number {
  return quantile(powerW.subarray(from, to), to - from > 4 ? 0.5 : 0)
}
