import { InputError } from '../../errors.js'

/** The best cut into a given number of segments. */
export interface CountedSegments {
  /** First index of each segment but the first, rising. */
  readonly edges: readonly number[]
  /** Σ (value - segment mean)². */
  readonly residualSumOfSquares: number
}

/**
 * The cuts with 0, 1, ..., `maxEdges` edges that have the least sum of squares about the segment means, by exact dynamic
 * programming. Takes n² operations per edge: for series of up to a few thousand values. Used to compare with published
 * tables and by callers who know how many levels there are; `findChangePoints` chooses the number of edges itself.
 *
 * @param values - finite numbers, at least (maxEdges + 1) × minLength
 * @param limits.maxEdges - most edges, 0 or more
 * @param limits.minLength - fewest values in a segment; 1 when left out
 * @returns one entry per number of edges
 * @throws InputError `values-unusable`
 * @source W. D. Fisher (1958), On grouping for maximum homogeneity, J. Amer. Statist. Assoc. 53, 789-798
 * @example segmentByCount([1, 1, 5, 5], { maxEdges: 1 })[1].edges // [2]
 */
export function segmentByCount(
  values: ArrayLike<number>,
  limits: { readonly maxEdges: number; readonly minLength?: number | undefined },
): readonly CountedSegments[] {
  const { maxEdges, minLength = 1 } = limits
  const n = values.length
  if (n < (maxEdges + 1) * minLength || !Array.from(values).every(Number.isFinite)) {
    throw new InputError(
      'values-unusable',
      `expected ${(maxEdges + 1) * minLength} finite values or more for ${maxEdges} edges with ${minLength} values a segment, got ${n}`,
    )
  }
  const layers: Layer[] = [firstLayer(values)]
  for (let k = 1; k <= maxEdges; k++) layers.push(nextLayer(values, layers[k - 1]!, k, minLength))
  return layers.map((layer, k) => ({ edges: edgesOf(layers, k), residualSumOfSquares: layer.costs[n]! }))
}

interface Layer {
  /** Least sum of squares of the first t values with this layer's number of edges. */
  readonly costs: Float64Array
  /** Start of the last segment of that cut. */
  readonly starts: Int32Array
}

function firstLayer(values: ArrayLike<number>): Layer {
  const costs = new Float64Array(values.length + 1)
  let mean = 0
  for (let t = 1; t <= values.length; t++) {
    const gap = values[t - 1]! - mean
    mean += gap / t
    costs[t] = costs[t - 1]! + gap * (values[t - 1]! - mean)
  }
  return { costs, starts: new Int32Array(values.length + 1) }
}

function nextLayer(values: ArrayLike<number>, before: Layer, edgeCount: number, minLength: number): Layer {
  const n = values.length
  const costs = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY)
  const starts = new Int32Array(n + 1)
  for (let end = (edgeCount + 1) * minLength; end <= n; end++) {
    let mean = 0
    let squares = 0
    // The last segment grows backwards, its mean and sum of squares with it.
    for (let start = end - 1; start >= edgeCount * minLength; start--) {
      const gap = values[start]! - mean
      mean += gap / (end - start)
      squares += gap * (values[start]! - mean)
      const cost = before.costs[start]! + squares
      if (end - start >= minLength && cost < costs[end]!) {
        costs[end] = cost
        starts[end] = start
      }
    }
  }
  return { costs, starts }
}

function edgesOf(layers: readonly Layer[], edgeCount: number): readonly number[] {
  const edges: number[] = []
  let end = layers[0]!.costs.length - 1
  for (let k = edgeCount; k > 0; k--) {
    end = layers[k]!.starts[end]!
    edges.unshift(end)
  }
  return edges
}
