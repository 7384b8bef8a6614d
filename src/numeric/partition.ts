import { type Least, PiecewiseQuadratic } from './piecewiseQuadratic.js'

/** What a partition minimises. */
export interface PartitionCost {
  readonly penalty: number
  readonly minLength: number
  /** Largest loss of a single value; unlimited when undefined. */
  readonly lossLimit: number | undefined
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
export function partition(
  series: Float64Array,
  cost: PartitionCost,
): { readonly edges: readonly number[]; readonly levels: readonly number[] } {
  const n = series.length
  const { low, high } = range(series)
  // All cuts of a constant series are as good: take the one without edges.
  if (low === high) return { edges: [], levels: [low] }
  const shortest = Math.min(cost.minLength, n)
  const costs = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY)
  const starts = new Int32Array(n + 1)
  const levels = new Float64Array(n + 1)
  const open = openSegment(series)
  const add = adder(open, cost.lossLimit)
  const leastAt = lastLosses(series, shortest, cost.lossLimit)
  for (let t = shortest; t <= n; t++) {
    const s = t - shortest
    if (s > 0) {
      add(series[s - 1]!)
      if (costs[s]! < Number.POSITIVE_INFINITY) open.cap(costs[s]! + cost.penalty, s)
    }
    const least = leastAt(open, t)
    costs[t] = least.value
    starts[t] = least.label
    levels[t] = least.at
  }
  return traceBack(starts, levels)
}

function adder(open: PiecewiseQuadratic, lossLimit: number | undefined): (value: number) => void {
  if (lossLimit === undefined) return (value) => open.addSquare(value)
  return (value) => open.addBounded(value, lossLimit)
}

/** Least value of the open segment's function plus the losses of the `shortest` values that end before index t. */
function lastLosses(
  series: Float64Array,
  shortest: number,
  lossLimit: number | undefined,
): (open: PiecewiseQuadratic, t: number) => Least {
  if (lossLimit !== undefined) {
    const losses = openSegment(series)
    return (open, t) => {
      losses.reset()
      for (let i = t - shortest; i < t; i++) losses.addBounded(series[i]!, lossLimit)
      return open.leastWithOther(losses)
    }
  }
  let mean = 0
  let squares = 0
  for (let i = 0; i < shortest; i++) {
    const gap = series[i]! - mean
    mean += gap / (i + 1)
    squares += (gap * gap * i) / (i + 1)
  }
  return (open, t) => {
    if (t > shortest) {
      // Mean and sum of squares of the window as it moves on by one value.
      const leaving = series[t - shortest - 1]!
      const arriving = series[t - 1]!
      const before = mean
      mean += (arriving - leaving) / shortest
      squares = shortest === 1 ? 0 : squares + (arriving - leaving) * (arriving - mean + leaving - before)
    }
    return open.leastWith(shortest, mean, squares)
  }
}

function traceBack(
  starts: Int32Array,
  levels: Float64Array,
): { readonly edges: readonly number[]; readonly levels: readonly number[] } {
  const edges: number[] = []
  const found: number[] = []
  let end = starts.length - 1
  while (end > 0) {
    found.push(levels[end]!)
    end = starts[end]!
    if (end > 0) edges.push(end)
  }
  return { edges: edges.reverse(), levels: found.reverse() }
}

function openSegment(series: Float64Array): PiecewiseQuadratic {
  const { low, high } = range(series)
  return new PiecewiseQuadratic(low, high)
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
