import { quantile } from '../../numeric/statistics/quantile.js'
import { thinnedFrom } from '../../numeric/thin.js'

/** So many differences tell their median. */
const ENOUGH = 2 ** 16

/**
 * Noise from the median difference of neighbours: in a coarse log of a loop every fourth sample stands beside a pause, which would
 * count in any mean. The median absolute difference of two normal samples is 0.954 standard deviations.
 */
export function stepNoise(powerW: Float64Array): number {
  const count = powerW.length - 1
  if (count < 1) return 0
  return (
    quantile(
      thinnedFrom(count, ENOUGH, (i) => Math.abs(powerW[i + 1]! - powerW[i]!)),
      0.5,
    ) / 0.954
  )
}
