import type { Matrix } from 'ml-matrix'
import { concatenate } from '../concatenate.js'

/** Equal normal kernels that points are drawn from. */
export interface NormalKernels {
  /** How many points are drawn from all of them together. */
  readonly count: number
  /** Inverse of the lower Cholesky factor of the kernels' covariance, row by row. */
  readonly whiten: readonly Float64Array[]
  /** Centres, whitened, one after the other. */
  readonly centres: Float64Array
  readonly logNorm: number
  /** Room for one whitened point, reused between points. */
  readonly room: Float64Array
}

/**
 * Kernels around centres.
 *
 * @param factor - lower Cholesky factor of their common covariance
 * @param count - points that are drawn from them
 */
export function normalKernels(
  centres: readonly Float64Array[],
  factor: Matrix,
  count: number,
): NormalKernels {
  const dimensions = factor.rows
  const whiten = invertLower(factor)
  let logNorm = -0.5 * dimensions * Math.log(2 * Math.PI) - Math.log(centres.length)
  for (let j = 0; j < dimensions; j++) logNorm -= Math.log(factor.get(j, j))
  return {
    count,
    whiten,
    centres: concatenate(centres.map((centre) => whitened(whiten, centre, 0, new Float64Array(dimensions)))),
    logNorm,
    room: new Float64Array(dimensions),
  }
}

/**
 * Adds to each point, from a place on, how densely points are drawn there from kernels, over the density of a prior.
 *
 * @param of.points - all coordinates of one point, then of the next
 * @param of.logPriors - ln of the prior's density at each point
 * @param densities - a value for each point, added to
 */
export function addKernelDensities(
  { count, whiten, centres, logNorm, room }: NormalKernels,
  { points, logPriors }: { readonly points: Float64Array; readonly logPriors: Float64Array },
  densities: Float64Array,
  from: number,
): void {
  for (let i = from; i < densities.length; i++) {
    whitened(whiten, points, i * room.length, room)
    let sum = 0
    for (let at = 0; at < centres.length; at += room.length) {
      let square = 0
      for (let j = 0; j < room.length && square < NOTHING; j++) {
        const off = room[j]! - centres[at + j]!
        square += off * off
      }
      if (square < NOTHING) sum += Math.exp(-square / 2)
    }
    if (sum > 0) densities[i]! += count * sum * Math.exp(logNorm - logPriors[i]!)
  }
}

/** Squared deviation beyond which a kernel adds less than rounding does: that of eleven. */
const NOTHING = 121

function invertLower(factor: Matrix): readonly Float64Array[] {
  const n = factor.rows
  const inverse = Array.from({ length: n }, () => new Float64Array(n))
  for (let column = 0; column < n; column++) {
    for (let j = column; j < n; j++) {
      let sum = j === column ? 1 : 0
      for (let l = column; l < j; l++) sum -= factor.get(j, l) * inverse[l]![column]!
      inverse[j]![column] = sum / factor.get(j, j)
    }
  }
  return inverse
}

function whitened(
  whiten: readonly Float64Array[],
  points: Float64Array,
  from: number,
  out: Float64Array,
): Float64Array {
  for (let j = 0; j < out.length; j++) {
    const row = whiten[j]!
    let sum = 0
    for (let l = 0; l <= j; l++) sum += row[l]! * points[from + l]!
    out[j] = sum
  }
  return out
}
