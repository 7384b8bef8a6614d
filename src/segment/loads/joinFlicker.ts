import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'
import type { WorkRange } from './workRanges.js'

/** Work and waits of so few samples each, and no longer, s: the log is too slow to show when either begins. No test has runs so short; common practice, no source. */
const MOST_SAMPLES = 3
const LONGEST_S = 4
/** Fewer in a row may be the broken start of a load. */
const FEWEST = 6

/**
 * Joins stretches of work that come and go faster than the log can follow to one stretch, waits included: what such a log knows of them is their
 * mean. A task that works and waits by turns, several times a second, gives samples now of the one and now of the other.
 */
export function joinFlicker(trace: Trace, ranges: readonly WorkRange[]): readonly WorkRange[] {
  const { timesS } = trace
  const isBrief = (from: number, to: number) =>
    to - from <= MOST_SAMPLES && timesS[to - 1]! - timesS[from]! <= LONGEST_S
  const pieces = ranges.flatMap((range, k) => [range, ...singlesBetween(trace, range, ranges[k + 1])])
  const joined: WorkRange[] = []
  for (let k = 0; k < pieces.length; ) {
    let to = k
    while (to < pieces.length && isBrief(pieces[to]!.from, pieces[to]!.to)) {
      to++
      if (to < pieces.length && !isBrief(pieces[to - 1]!.to, pieces[to]!.from)) break
    }
    const inRow = pieces.slice(k, Math.max(to, k + 1))
    const whole = inRow.filter(isWork)
    if (inRow.length < FEWEST || whole.length === 0) joined.push(...whole)
    else {
      const { idleBeforeW } = whole[0]!
      const { idleAfterW } = whole.at(-1)!
      joined.push({ from: inRow[0]!.from, to: inRow.at(-1)!.to, idleBeforeW, idleAfterW })
    }
    k += inRow.length
  }
  return joined
}

/** Samples this far apart belong to no flicker. */
const WIDEST_GAP = 20

/** Single samples of work between two stretches, which no level of the log shows. */
function singlesBetween({ powerW }: Trace, before: IndexRange, after?: IndexRange): readonly IndexRange[] {
  if (after === undefined || after.from - before.to > WIDEST_GAP) return []
  const lowW = quantile(powerW.subarray(before.to, after.from), 0.5)
  const highW = quantile(powerW.subarray(before.from, before.to), 0.5)
  const singles: IndexRange[] = []
  for (let i = before.to; i < after.from; i++)
    if (powerW[i]! > (lowW + highW) / 2) singles.push({ from: i, to: i + 1 })
  return singles
}

function isWork(piece: IndexRange): piece is WorkRange {
  return 'idleBeforeW' in piece
}
