/**
 * Mean of each segment of a series, corrected by the mean of what it leaves.
 *
 * @param edges - first index of each segment but the first, rising
 * @example segmentMeans(Float64Array.of(1, 3, 8), [2]) // [2, 8]
 */
export function segmentMeans(series: Float64Array, edges: readonly number[]): readonly number[] {
  return [...edges, series.length].map((end, k) => {
    const start = edges[k - 1] ?? 0
    let sum = 0
    for (let i = start; i < end; i++) sum += series[i]!
    const mean = sum / (end - start)
    let rest = 0
    for (let i = start; i < end; i++) rest += series[i]! - mean
    return mean + rest / (end - start)
  })
}
