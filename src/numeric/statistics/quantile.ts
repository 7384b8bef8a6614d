import { InputError } from '../../errors.js'
import { argsort } from '../argsort.js'
import { quickselect } from '../quickselect.js'

/**
 * The value below which the given share of the values lies, interpolated between order statistics.
 *
 *   position (n - 1) p in the sorted values
 *
 * @param values - at least one finite number; not changed
 * @param share - 0 to 1; 0.5 is the median
 * @throws InputError `values-empty`, `share-out-of-range`
 * @source R. J. Hyndman, Y. Fan (1996), Sample quantiles in statistical packages, American Statistician 50, 361-365, type 7
 * @example quantile([1, 2, 3, 4], 0.5) // 2.5
 */
export function quantile(values: ArrayLike<number>, share: number): number {
  return quantiles(values, [share])[0]!
}

/** Several quantiles of the same values, which are copied once; see `quantile`. */
export function quantiles(values: ArrayLike<number>, shares: readonly number[]): readonly number[] {
  requireValues(values, shares)
  const copy = Float64Array.from(values)
  return shares.map((share) => {
    const position = (copy.length - 1) * share
    const below = Math.floor(position)
    const low = quickselect(copy, below)
    if (position === below) return low
    // What stands behind a place is no smaller: its least is the next in order.
    let high = copy[below + 1]!
    for (let i = below + 2; i < copy.length; i++) if (copy[i]! < high) high = copy[i]!
    return low === high ? low : low + (position - below) * (high - low)
  })
}

/**
 * Quantiles of values that carry weights, such as draws or grid points of a posterior.
 *
 * Every value sits in the middle of its weight on the running sum of weights, and the quantile is interpolated between
 * neighbours; beyond the outermost middles it is the outermost value. Values of weight 0 don't count. With equal
 * weights this is Hyndman and Fan's type 5.
 *
 * @param values - finite numbers; not changed
 * @param weights - as many, none negative, not all zero; need not add up to 1
 * @throws InputError `values-empty`, `share-out-of-range`, `weights-unusable`
 * @example weightedQuantiles([10, 20], [1, 3], [0.5])[0] // 17.5
 */
export function weightedQuantiles(
  values: ArrayLike<number>,
  weights: ArrayLike<number>,
  shares: readonly number[],
): readonly number[] {
  requireValues(values, shares)
  requireWeights(values, weights)
  if (areEqual(weights)) return shares.map(middleQuantile(values))
  const order = argsort(values)
  let total = 0
  for (let k = 0; k < order.length; k++) total += weights[order[k]!]!
  return shares.map((share) => valueAtWeight(values, weights, order, share * total))
}

function areEqual(weights: ArrayLike<number>): boolean {
  for (let i = 1; i < weights.length; i++) if (weights[i] !== weights[0]) return false
  return true
}

/** Quantiles of values of equal weight, each in the middle of its own. */
function middleQuantile(values: ArrayLike<number>): (share: number) => number {
  const sorted = Float64Array.from(values).sort()
  return (share) => {
    const position = Math.min(sorted.length - 1, Math.max(0, share * sorted.length - 0.5))
    const below = Math.floor(position)
    const low = sorted[below]!
    return position === below ? low : low + (position - below) * (sorted[below + 1]! - low)
  }
}

/**
 * The value at which the running sum of weights, each counted in its middle, reaches a target; see `weightedQuantiles`.
 *
 * @param order - places of the values from the least to the greatest
 */
export function valueAtWeight(
  values: ArrayLike<number>,
  weights: ArrayLike<number>,
  order: ArrayLike<number>,
  target: number,
): number {
  let below = 0
  let previousMiddle = Number.NEGATIVE_INFINITY
  let previousValue = Number.NaN
  for (let k = 0; k < order.length; k++) {
    const weight = weights[order[k]!]!
    if (weight === 0) continue
    const middle = below + weight / 2
    const value = values[order[k]!]!
    if (middle >= target) {
      if (previousMiddle === Number.NEGATIVE_INFINITY) return value
      return previousValue + ((target - previousMiddle) / (middle - previousMiddle)) * (value - previousValue)
    }
    below += weight
    previousMiddle = middle
    previousValue = value
  }
  return previousValue
}

function requireValues(values: ArrayLike<number>, shares: readonly number[]): void {
  if (values.length === 0) {
    throw new InputError('values-empty', 'expected at least one value, got none')
  }
  for (const share of shares) {
    if (!(share >= 0 && share <= 1)) {
      throw new InputError('share-out-of-range', `expected a share from 0 to 1, got ${share}`)
    }
  }
}

function requireWeights(values: ArrayLike<number>, weights: ArrayLike<number>): void {
  let total = 0
  let usable = weights.length === values.length
  for (let i = 0; usable && i < weights.length; i++) {
    usable = weights[i]! >= 0 && Number.isFinite(weights[i]!)
    total += weights[i]!
  }
  if (!usable || total <= 0) {
    throw new InputError(
      'weights-unusable',
      `expected ${values.length} weights, none negative and not all 0, got ${weights.length} with sum ${total}`,
    )
  }
}
