import { type Offer, OpenLevels, type Trailing } from './openLevels.js'
import { PiecewiseQuadratic } from './piecewiseQuadratic.js'
import { StartRuns } from './startRuns.js'

/** What a partition minimises. */
export interface PartitionCost {
  readonly penalty: number
  readonly minLength: number
  /** Largest loss of a single value; unlimited when undefined. */
  readonly lossLimit: number | undefined
}

/** A cut, and under bounded loss the level of each segment (otherwise that is the segment's mean). */
export interface Partition {
  readonly edges: readonly number[]
  readonly levels: readonly number[] | undefined
}

/**
 * Exact minimum of Σ loss(value - level) + penalty × edges over all cuts into segments of at least `minLength` values.
 *
 * With F(s) the least cost of the first s values and L the shortest length, a function of the open segment's level x is
 * carried along,
 *
 *   G_s(x) = min(G_(s-1)(x) + loss(value_s - x), F(s) + penalty),   F(t) = min over x of G_(t-L)(x) + Σ last L losses
 *
 * Starts of a segment that are best for no level drop out for ever: that is the pruning, and it loses nothing.
 *
 * @source R. Maidstone, T. Hocking, G. Rigaill, P. Fearnhead (2017), Statistics and Computing 27, 519-533 (FPOP); the delay
 * by L values is ours and follows from the same argument, since all starts gain the same last L losses
 */
export function optimalPartition(series: Float64Array, cost: PartitionCost): Partition {
  const { low, high } = range(series)
  // All cuts of a constant series are as good: take the one without edges.
  if (low === high) return { edges: [], levels: [low] }
  const shortest = Math.min(cost.minLength, series.length)
  return cost.lossLimit === undefined
    ? squaredPartition(series, shortest, cost.penalty)
    : boundedPartition(series, shortest, { penalty: cost.penalty, lossLimit: cost.lossLimit })
}

function squaredPartition(series: Float64Array, shortest: number, penalty: number): Partition {
  const n = series.length
  const { low, high } = range(series)
  // Only the last few costs are asked for: those of the first s values stand at s modulo their number.
  const costs = new Float64Array(shortest).fill(Number.POSITIVE_INFINITY)
  const starts = new StartRuns()
  let place = 0
  let latest = -1
  const trailing: Trailing = { length: shortest - 1, mean: 0, squares: 0 }
  const offer: Offer = { cost: 0, start: 0, from: low, to: high }
  const open = new OpenLevels(low, high)
  const reachOf = reachAhead(series, penalty)
  for (let t = shortest; t <= n; t++) {
    const s = t - shortest
    if (costs[place]! < Number.POSITIVE_INFINITY) {
      offer.cost = costs[place]! + penalty
      offer.start = s
      if (shortest === 1) {
        const reach = reachOf(s, open.leastAt)
        offer.from = open.leastAt + Math.min(0, reach)
        offer.to = open.leastAt + Math.max(0, reach)
      }
      if (offer.from < offer.to) open.offer(offer)
    }
    open.add(series[s]!)
    moveOn(trailing, series, s + 1)
    open.findLeast(trailing)
    // t and s differ by the number of costs that are kept.
    costs[place] = open.leastCost
    // Asked here, too: a call for every value takes a tenth longer.
    if (open.leastStart !== latest) {
      latest = open.leastStart
      starts.note(t, latest)
    }
    if (++place === shortest) place = 0
  }
  return { edges: starts.edges(n), levels: undefined }
}

/** So many values ahead decide where a segment may begin; most offers are ruled out by the second or third. */
const LOOK_AHEAD = 8

/**
 * How far from the level of the segment before it, and to which side, a segment that begins at a start can lie if it is to be
 * part of the best cut; 0 when it can't.
 *
 * Its first k values, for every k, are nearer to its own level than to the one before: else that segment would better have
 * kept them. So with m the mean of the k values its level is between that level and 2 m less it. The argument ends with the
 * first k for which the new segment may be over already, having gained as much as an edge costs.
 */
function reachAhead(series: Float64Array, penalty: number): (start: number, level: number) => number {
  return (start, level) => {
    const end = Math.min(series.length, start + LOOK_AHEAD)
    let sum = series[start]! - level
    let reach = 2 * sum
    for (let i = start + 1; i < end && sum * sum < penalty * (i - start); i++) {
      sum += series[i]! - level
      if (sum * reach <= 0) return 0
      const shorter = (2 * sum) / (i + 1 - start)
      if (Math.abs(shorter) < Math.abs(reach)) reach = shorter
    }
    return reach
  }
}

/** Mean and sum of squares of the trailing values, which now begin at index `from`. */
function moveOn(trailing: Trailing, series: Float64Array, from: number): void {
  const { length } = trailing
  if (length === 0) return
  if (from === 1) {
    for (let i = 0; i < length; i++) {
      const gap = series[from + i]! - trailing.mean
      trailing.mean += gap / (i + 1)
      trailing.squares += (gap * gap * i) / (i + 1)
    }
    return
  }
  const leaving = series[from - 1]!
  const arriving = series[from + length - 1]!
  const before = trailing.mean
  trailing.mean += (arriving - leaving) / length
  trailing.squares += (arriving - leaving) * (arriving - trailing.mean + leaving - before)
  if (length === 1) trailing.squares = 0
}

function boundedPartition(
  series: Float64Array,
  shortest: number,
  { penalty, lossLimit }: { readonly penalty: number; readonly lossLimit: number },
): Partition {
  const n = series.length
  const { low, high } = range(series)
  const costs = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY)
  const starts = new Int32Array(n + 1)
  const levels = new Float64Array(n + 1)
  const open = new PiecewiseQuadratic(low, high)
  const last = new PiecewiseQuadratic(low, high)
  for (let t = shortest; t <= n; t++) {
    const s = t - shortest
    if (s > 0) {
      open.addBounded(series[s - 1]!, lossLimit)
      if (costs[s]! < Number.POSITIVE_INFINITY) open.cap(costs[s]! + penalty, s)
    }
    last.reset()
    for (let i = s; i < t; i++) last.addBounded(series[i]!, lossLimit)
    const least = open.leastWithOther(last)
    costs[t] = least.value
    starts[t] = least.label
    levels[t] = least.at
  }
  const edges = edgesOf(starts)
  return { edges, levels: [...edges, n].map((end) => levels[end]!) }
}

/** Edges from the start of the last segment of each cut. */
function edgesOf(starts: Int32Array): readonly number[] {
  const edges: number[] = []
  for (let end = starts[starts.length - 1]!; end > 0; end = starts[end]!) edges.push(end)
  return edges.reverse()
}

function range(series: Float64Array): { readonly low: number; readonly high: number } {
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (let i = 0; i < series.length; i++) {
    low = Math.min(low, series[i]!)
    high = Math.max(high, series[i]!)
  }
  return { low, high }
}
