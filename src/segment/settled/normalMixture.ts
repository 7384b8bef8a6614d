/** One component of a mixture. */
export interface Normal {
  readonly mean: number
  readonly deviation: number
  readonly weight: number
}

/**
 * Quantiles of a mixture of normal distributions, by bisection of its distribution function.
 *
 * @param components - weights add up to 1
 * @param shares - strictly between 0 and 1
 */
export function normalMixtureQuantiles(
  components: readonly Normal[],
  shares: readonly number[],
): readonly number[] {
  const kept = components.filter((component) => component.weight > 1e-9)
  const below = (x: number) =>
    kept.reduce(
      (sum, c) => sum + c.weight * normalProbability((x - c.mean) / Math.max(c.deviation, 1e-12)),
      0,
    )
  const least = Math.min(...kept.map((c) => c.mean - 7 * c.deviation))
  const most = Math.max(...kept.map((c) => c.mean + 7 * c.deviation))
  return shares.map((share) => {
    let low = least
    let high = most
    for (let i = 0; i < 50; i++) {
      const middle = 0.5 * (low + high)
      if (below(middle) < share) low = middle
      else high = middle
    }
    return 0.5 * (low + high)
  })
}

/** Normal distribution function; absolute error below 7.5e-8. @source Abramowitz and Stegun (1964), 26.2.17 */
function normalProbability(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z))
  const series =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  const tail = 0.3989422804014327 * Math.exp(-0.5 * z * z) * series
  return z >= 0 ? 1 - tail : tail
}
