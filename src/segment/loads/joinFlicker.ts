import type { Trace } from '../../log/trace.js'
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
export function joinFlicker({ timesS }: Trace, ranges: readonly WorkRange[]): readonly WorkRange[] {
  const isBrief = (from: number, to: number) =>
    to - from <= MOST_SAMPLES && timesS[to - 1]! - timesS[from]! <= LONGEST_S
  const joined: WorkRange[] = []
  for (let k = 0; k < ranges.length; ) {
    let last = k
    while (
      isBrief(ranges[last]!.from, ranges[last]!.to) &&
      last + 1 < ranges.length &&
      isBrief(ranges[last]!.to, ranges[last + 1]!.from)
    )
      last++
    // The last of them may be followed by a wait, and be a longer stretch itself.
    if (last > k && !isBrief(ranges[last]!.from, ranges[last]!.to)) last--
    const isFlicker = last - k + 1 >= FEWEST
    if (isFlicker) joined.push({ ...ranges[k]!, to: ranges[last]!.to, idleAfterW: ranges[last]!.idleAfterW })
    else joined.push(...ranges.slice(k, last + 1))
    k = last + 1
  }
  return joined
}
