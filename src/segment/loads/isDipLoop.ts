import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'

/** So many dips make a loop. */
export const FEWEST_DIPS = 3
/** Shorter work is a burst of a task, s. */
const SHORTEST_WORK_S = 8
/** A dip is one level: its parts lie within this share of their mean. */
export const FLAT_SHARE = 0.15
/** Dips of a loop are equally long, but for the sampling at both ends and the loading itself. */
const SLACK = { s: 0.3, samples: 2, share: 0.1 }
/** Logarithms of the work's lengths over their median: of all but the first, which may be quicker, and the last, which may be broken off. */
const ALIKE = { inner: 0.25, first: 0.9, last: 0.15 }

/** A stretch of lower power between work. */
export interface Dip extends IndexRange {
  readonly levelW: number
}

/**
 * Whether dips are the pauses of a loop: alike in length and power, with like work between them. Fixed work takes no longer at first than later,
 * when its power has come down.
 *
 * @param range - the work and its dips
 */
export function isDipLoop(trace: Trace, range: IndexRange, dips: readonly Dip[]): boolean {
  if (dips.length < FEWEST_DIPS) return false
  const secondsOf = ({ from, to }: IndexRange) => trace.timesS[to - 1]! - trace.timesS[Math.max(0, from - 1)]!
  const dipS = dips.map(secondsOf)
  const usualS = quantile(dipS, 0.5)
  const slackS = SLACK.s + SLACK.samples * trace.intervalS + SLACK.share * usualS
  const usualW = quantile(
    dips.map(({ levelW }) => levelW),
    0.5,
  )
  const workS = workBetween(range, dips).map(secondsOf)
  const medianS = quantile(workS, 0.5)
  const off = workS.map((s) => Math.log(s / medianS))
  return (
    dipS.every((s) => Math.abs(s - usualS) <= slackS) &&
    dips.every(({ levelW }) => Math.abs(levelW - usualW) <= FLAT_SHARE * usualW) &&
    medianS >= Math.max(SHORTEST_WORK_S, usualS) &&
    off.slice(1, -1).every((value) => Math.abs(value) <= ALIKE.inner) &&
    off[0]! >= -ALIKE.first &&
    off[0]! <= ALIKE.inner &&
    off.at(-1)! <= ALIKE.last
  )
}

/** The stretches of work that dips leave. */
export function workBetween({ from, to }: IndexRange, dips: readonly IndexRange[]): IndexRange[] {
  const starts = [from, ...dips.map((dip) => dip.to)]
  const ends = [...dips.map((dip) => dip.from), to]
  return starts.map((start, k) => ({ from: start, to: ends[k]! }))
}
