import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange, Split } from '../indexRange.js'

/** No workload starts over in less: a single low sample closer to its neighbours is a spike; common practice, no source. */
const SHORTEST_PAUSE_S = 1
/** Fewest single-sample pauses, and how unevenly they may lie, to be believed without an in-between sample beside them. */
const FEWEST_PAUSES = 4
const UNEVENNESS = 0.12

/**
 * Joins stretches of work over single low samples that are no pauses but spikes.
 *
 * A pause takes power to idle. Between samples that are means it leaves at least one in-between sample beside it, and after it a run
 * opens higher than the one before ended. A low sample between two unhurt neighbours of one level is a spike, unless it comes again and
 * again at even distances, as the pauses of a loop do.
 */
export function joinOverSpikes(
  ranges: readonly IndexRange[],
  trace: Trace,
  split: Split,
): readonly IndexRange[] {
  const lows = ranges.slice(1).map((range, k) => classify(ranges[k]!, range, trace, split))
  const believed = areRegular(
    ranges
      .slice(1)
      .filter((_, k) => lows[k] !== 'spike')
      .map((range) => range.from),
    lows.filter((low) => low === 'single').length,
  )
  const joined: IndexRange[] = []
  ranges.forEach((range, k) => {
    const last = joined.at(-1)
    const low = k > 0 ? lows[k - 1]! : 'pause'
    if (last && (low === 'spike' || (low === 'single' && !believed))) {
      joined[joined.length - 1] = { from: last.from, to: range.to }
    } else joined.push(range)
  })
  return joined
}

type Low = 'pause' | 'single' | 'spike'

function classify(before: IndexRange, after: IndexRange, trace: Trace, split: Split): Low {
  const power = trace.powerW
  const pauseS = trace.timesS[after.from - 1]! - trace.timesS[before.to - 1]!
  if (after.from - before.to !== 1) return pauseS < SHORTEST_PAUSE_S - 1e-6 ? 'spike' : 'pause'
  const reachW = split.idleW + Math.max(3 * split.idleNoiseW, 0.3 * (split.thresholdW - split.idleW))
  const lowW = power[before.to]!
  if (lowW > reachW || pauseS < SHORTEST_PAUSE_S - 1e-6) return 'spike'
  // Of three samples, so that a second spike next to the first doesn't count.
  const beforeW = quantile(power.subarray(Math.max(before.from, before.to - 3), before.to), 0.5)
  const afterW = quantile(power.subarray(after.from, Math.min(after.to, after.from + 3)), 0.5)
  const slackW = Math.max(0.1 * Math.max(beforeW, afterW), 6 * typicalStep(power, before))
  const edgeBeside = power[before.to - 1]! < beforeW - slackW || power[after.from]! < afterW - slackW
  const alike = Math.abs(beforeW - afterW) < slackW
  return alike && !edgeBeside ? 'single' : 'pause'
}

/** Pauses of a loop of fixed work come at even distances: the spread of the distances about their median tells. */
function areRegular(starts: readonly number[], singles: number): boolean {
  if (singles < FEWEST_PAUSES) return false
  const gaps = starts.slice(1).map((start, k) => start - starts[k]!)
  const middle = [...gaps].sort((a, b) => a - b)[Math.floor(gaps.length / 2)]!
  const off = gaps.reduce((sum, gap) => sum + Math.abs(gap - middle), 0) / gaps.length
  return off < UNEVENNESS * middle
}

/** Median difference of neighbours in a stretch of work, W: what noise alone does. */
function typicalStep(power: Float64Array, range: IndexRange): number {
  const work = power.subarray(Math.max(range.from + 1, range.to - 60), range.to)
  const steps = Array.from(work.subarray(1), (value, i) => Math.abs(value - work[i]!)).sort((a, b) => a - b)
  return steps[Math.floor(steps.length / 2)] ?? 0
}
