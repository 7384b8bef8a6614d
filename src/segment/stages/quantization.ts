import { thin } from '../../numeric/thin.js'

/** So many values hold neighbours on the grid of any logger, if there is one. */
const ENOUGH = 2 ** 16
/** Values nearer than this share of the greatest stand on one step: power from a counter carries its own grain and the jitter of its stamps. */
const SAME_SHARE = 5e-4
/** A step is believed when so many values stand on it, and a grid when so many steps are seen. */
const FEWEST_ON_STEP = 3
const FEWEST_STEPS = 4
/** Steps lie on a grid when they are off it by no more than this share of its spacing, and no logger's grid is wider than this share of the top. */
const OFF_GRID = 0.15
const WIDEST_SHARE = 0.1

/**
 * Step of the grid that values were rounded to, in their unit: they crowd on steps an equal distance apart, even where jitter
 * spreads each of them. Undefined where no such grid is seen.
 */
export function quantization(values: Float64Array): number | undefined {
  return gridStep(stepsIn(sortedSome(values)))
}

/** Least difference between two values, which is no less than the step of a grid that they lie on; infinite when all are equal. */
export function leastDifference(values: Float64Array): number {
  const sorted = sortedSome(values)
  let least = Number.POSITIVE_INFINITY
  for (let i = 1; i < sorted.length; i++) {
    const gap = sorted[i]! - sorted[i - 1]!
    if (gap > 1e-6 && gap < least) least = gap
  }
  return least
}

function sortedSome(values: Float64Array): Float64Array {
  return Float64Array.from(thin(values, ENOUGH)).sort()
}

/** Medians of the crowds among sorted values. */
function stepsIn(sorted: Float64Array): readonly number[] {
  const steps: number[] = []
  const apart = Math.max(1e-6, SAME_SHARE * Math.abs(sorted.at(-1) ?? 0))
  let from = 0
  for (let i = 1; i <= sorted.length; i++) {
    if (i < sorted.length && sorted[i]! - sorted[i - 1]! <= apart) continue
    if (i - from >= FEWEST_ON_STEP) steps.push(sorted[(from + i - 1) >> 1]!)
    from = i
  }
  return steps
}

function gridStep(steps: readonly number[]): number | undefined {
  if (steps.length < FEWEST_STEPS) return undefined
  const apart = steps.slice(1).map((step, k) => step - steps[k]!)
  const least = Math.min(...apart)
  if (least > WIDEST_SHARE * Math.abs(steps.at(-1)!)) return undefined
  const onGrid = apart.every(
    (distance) => Math.abs(distance / least - Math.round(distance / least)) <= OFF_GRID,
  )
  return onGrid ? least : undefined
}

/**
 * What rounding leaves in a mean, W: without noise to move the samples across steps of q, all of them are off alike. The bias
 * is a sine of the level with the amplitude q/pi exp(-2 pi² s²/q²), s the noise before rounding; this is its root mean square.
 *
 * @param quantumW - q; infinite or 0 when there is none
 * @param variance - of the samples as rounded, W²
 * @source B. Widrow (1956), IRE Transactions on Circuit Theory 3, 266-276
 */
export function roundingBias(quantumW: number, variance: number): number {
  if (!(quantumW > 0 && Number.isFinite(quantumW))) return 0
  const before = Math.max(0, variance - quantumW ** 2 / 12)
  return (quantumW / (Math.PI * Math.SQRT2)) * Math.exp((-2 * Math.PI ** 2 * before) / quantumW ** 2)
}
