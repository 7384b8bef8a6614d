import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'
import { type Dip, FEWEST_DIPS } from './isDipLoop.js'
import type { WorkRange } from './workRanges.js'

/** Clear of idle is power that lies by this share of the work's rise above it: a machine that has just worked idles higher than a rested one. */
const BUSY_SHARE = 0.15
/** Powers of the work, and of the gaps, differ by no larger share of that rise. */
const ALIKE_SHARE = 0.15
/**
 * A chassis that is not warm yet lets the first stretch at a power last at least so much longer than the later ones; no run of a loop takes longer at
 * first (`isDipLoop`). Common practice, no source.
 */
export const FIRST_LONGER = 1.5
/** No gap is longer than so many usual ones. */
const LONGEST = 2

/**
 * Joins work over gaps in which power comes down again and again to one level clear of idle, unless they are the pauses of a loop: a
 * controller of the temperature lets go and cuts in so, and the work goes on all the while.
 */
export function joinSwings(trace: Trace, ranges: readonly WorkRange[]): readonly WorkRange[] {
  const joined: WorkRange[] = []
  for (let k = 0; k < ranges.length; ) {
    const chain = chainFrom(trace, ranges, k)
    const [first, last] = [chain[0]!, chain.at(-1)!]
    if (swings(trace, chain)) joined.push({ ...first, to: last.to, idleAfterW: last.idleAfterW })
    else joined.push(...chain)
    k += chain.length
  }
  return joined
}

/** Work in a row with busy gaps between, from one stretch on; that stretch alone where idle follows it. */
function chainFrom(trace: Trace, ranges: readonly WorkRange[], from: number): readonly WorkRange[] {
  const first = ranges[from]!
  const idleW = first.idleBeforeW
  if (idleW === null) return [first]
  const workW = medianPower(trace, first)
  let to = from + 1
  while (to < ranges.length) {
    const isBusy = ranges[to - 1]!.idleAfterW! - idleW >= BUSY_SHARE * (workW - idleW)
    const isAlike = Math.abs(medianPower(trace, ranges[to]!) - workW) <= ALIKE_SHARE * (workW - idleW)
    if (!isBusy || !isAlike) break
    to++
  }
  return ranges.slice(from, to)
}

function swings(trace: Trace, chain: readonly WorkRange[]): boolean {
  if (chain.length <= FEWEST_DIPS) return false
  const first = chain[0]!
  const gaps = chain
    .slice(1)
    .map((work, k): Dip => ({ from: chain[k]!.to, to: work.from, levelW: work.idleBeforeW! }))
  const usual = quantile(gaps.map(samplesOf), 0.5)
  const usualW = quantile(
    gaps.map(({ levelW }) => levelW),
    0.5,
  )
  const later = quantile(chain.slice(1).map(samplesOf), 0.5)
  const riseW = medianPower(trace, first) - first.idleBeforeW!
  return (
    samplesOf(first) >= FIRST_LONGER * later &&
    gaps.every((gap) => samplesOf(gap) <= LONGEST * usual + 1) &&
    gaps.every(({ levelW }) => Math.abs(levelW - usualW) <= ALIKE_SHARE * riseW)
  )
}

function samplesOf({ from, to }: IndexRange): number {
  return to - from
}

function medianPower({ powerW }: Trace, { from, to }: IndexRange): number {
  return quantile(powerW.subarray(from, to), 0.5)
}
