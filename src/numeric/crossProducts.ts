import { dot } from './dot.js'
import type { Triangle } from './householder.js'

/** Products of a problem's columns with each other and with its right side. */
export interface CrossProducts {
  /** p rows of p numbers. */
  readonly among: readonly Float64Array[]
  /** p numbers. */
  readonly withRight: Float64Array
}

/**
 * @param columns - p columns of n numbers
 * @param right - n numbers
 */
export function crossProducts(columns: readonly Float64Array[], right: Float64Array): CrossProducts {
  const among = columns.map(() => new Float64Array(columns.length))
  const withRight = new Float64Array(columns.length)
  for (let i = 0; i < columns.length; i++) {
    for (let j = 0; j <= i; j++) {
      among[i]![j] = dot(columns[i]!, columns[j]!)
      among[j]![i] = among[i]![j]!
    }
    withRight[i] = dot(columns[i]!, right)
  }
  return { among, withRight }
}

/**
 * The triangle of some of the columns from their products, for a third of the work of reflections. Products lose twice the digits
 * that a bad condition costs, so this is for columns that are far from dependent.
 *
 * @param chosen - indices of the columns, in the order that the triangle shall have
 * @returns undefined where a column lies too close to those before it
 * @source A.-L. Cholesky's factorisation; its errors: A. Bjorck (1996), Numerical Methods for Least Squares Problems, section 2.2
 * @example triangleFromProducts(crossProducts([Float64Array.of(3, 4)], Float64Array.of(3, 4)), [0])!.upper[0] // 5
 */
export function triangleFromProducts(
  { among, withRight }: CrossProducts,
  chosen: readonly number[],
): Triangle | undefined {
  const size = chosen.length
  const upper = chosen.map(() => new Float64Array(size))
  const projected = new Float64Array(size)
  for (let k = 0; k < size; k++) {
    const products = among[chosen[k]!]!
    const square = products[chosen[k]!]!
    let rest = square
    for (let i = 0; i < k; i++) rest -= upper[i]![k]! ** 2
    if (!(rest > CLEAR * square)) return undefined
    const row = upper[k]!
    const diagonal = Math.sqrt(rest)
    row[k] = diagonal
    let right = withRight[chosen[k]!]!
    for (let i = 0; i < k; i++) right -= upper[i]![k]! * projected[i]!
    projected[k] = right / diagonal
    for (let j = k + 1; j < size; j++) {
      let product = products[chosen[j]!]!
      for (let i = 0; i < k; i++) product -= upper[i]![k]! * upper[i]![j]!
      row[j] = product / diagonal
    }
  }
  return { upper, projected }
}

/** Squared sine of the angle between a column and those before it from which on four of sixteen digits are lost at most. */
const CLEAR = 1e-4
