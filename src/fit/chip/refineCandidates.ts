import { CholeskyDecomposition, type Matrix } from 'ml-matrix'
import { kroneckerPoints } from '../../numeric/statistics/kroneckerPoint.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'

/** Points of a family's unit cube, with the kernels that some of them were drawn around. */
export interface PointCloud {
  /** Logits of the coordinates: the cube without its walls. */
  readonly logits: readonly Float64Array[]
  /** ln of prior density over the density that the points were drawn from, for each point. */
  readonly logWeights: Float64Array
  /** ln prior density of each point's logits. */
  readonly logPriors: Float64Array
  /** Density that the points were drawn from, over the prior's, times their number. */
  readonly densities: Float64Array
  readonly kernels: readonly Kernels[]
}

/** Equal normal kernels, drawn from `count` times. */
export interface Kernels {
  readonly count: number
  /** Inverse of the lower Cholesky factor of the kernels' covariance, row by row. */
  readonly whiten: readonly Float64Array[]
  /** Centres, whitened. */
  readonly centres: readonly Float64Array[]
  readonly logNorm: number
  /** Room for one whitened point, reused between points. */
  readonly room: Float64Array
}

/** A cloud drawn evenly from the prior. */
export function priorCloud(count: number, dimensions: number): PointCloud {
  const { logits, logPriors } = firstPoints(count, dimensions)
  const logWeights = new Float64Array(count).fill(-Math.log(count))
  return { logits, logWeights, logPriors, densities: new Float64Array(count).fill(count), kernels: [] }
}

/** The same for every fit: never written to. */
type FirstPoints = Pick<PointCloud, 'logits' | 'logPriors'>
const FIRST_POINTS = new Map<string, FirstPoints>()

function firstPoints(count: number, dimensions: number): FirstPoints {
  const key = `${count} ${dimensions}`
  const known = FIRST_POINTS.get(key)
  if (known !== undefined) return known
  const logits = kroneckerPoints(count, dimensions).map((point) => Float64Array.from(point, logit))
  const points = { logits, logPriors: Float64Array.from(logits, logPrior) }
  FIRST_POINTS.set(key, points)
  return points
}

/** Coordinates in the unit cube. */
export function cubePoint(logits: Float64Array): Float64Array {
  return logits.map((z) => 1 / (1 + Math.exp(-z)))
}

/**
 * Adds points where the posterior is, so that few candidates carry it well however sharp the data make it.
 *
 * New points come from normal kernels around the present ones, chosen by their weights; every point, old or new, is then
 * weighted by prior over the mixture of all densities that points were drawn from, which bounds the weights.
 *
 * @param cloud - the present points
 * @param weights - their posterior weights (tempered when too few points carry them), adding up to anything above 0
 * @param count - points to add
 * @source J.-M. Cornuet, J.-M. Marin, A. Mira, C. P. Robert (2012), Adaptive multiple importance sampling,
 * Scand. J. Stat. 39, 798-812; mixture weights: E. Veach, L. J. Guibas (1995), SIGGRAPH 95, 419-428
 */
export function refineCloud(cloud: PointCloud, weights: Float64Array, count: number): PointCloud {
  const centres = pickCentres(cloud.logits, weights)
  const factor = kernelFactor(cloud.logits, weights)
  const added = drawAround(centres, factor, count)
  const newest = makeKernels(centres, factor, count)
  const kernels = [...cloud.kernels, newest]
  const logits = [...cloud.logits, ...added]
  const fromPrior = cloud.logits.length - cloud.kernels.reduce((sum, kernel) => sum + kernel.count, 0)
  // Points that were there before know their density under all kernels but the newest.
  const densities = new Float64Array(logits.length)
  const logPriors = new Float64Array(logits.length)
  logPriors.set(cloud.logPriors)
  for (let i = 0; i < logits.length; i++) {
    const known = i < cloud.logits.length
    if (!known) logPriors[i] = logPrior(logits[i]!)
    let density = known ? cloud.densities[i]! : fromPrior
    for (let n = known ? kernels.length - 1 : 0; n < kernels.length; n++) {
      const kernel = kernels[n]!
      density += kernel.count * Math.exp(kernelLogDensity(kernel, logits[i]!) - logPriors[i]!)
    }
    densities[i] = density
  }
  return { logits, logWeights: densities.map((density) => -Math.log(density)), logPriors, densities, kernels }
}

/** Kernels: enough to follow a curved posterior, few enough to sum over for every point. */
const CENTRES = 24
/** Width of a kernel relative to the whole posterior: Silverman's rule for 24 points in 7 dimensions gives 0.75. */
const KERNEL_WIDTH = 0.6
/** Added to every coordinate's variance so that no direction collapses; the prior's variance is 3.3 (logistic). */
const LEAST_VARIANCE = 0.02

function logit(u: number): number {
  return Math.log(u / (1 - u))
}

/** ln density of the logits of a uniform point, the logistic distribution. */
function logPrior(logits: Float64Array): number {
  let sum = 0
  for (let j = 0; j < logits.length; j++) {
    const size = Math.abs(logits[j]!)
    sum -= size + 2 * Math.log1p(Math.exp(-size))
  }
  return sum
}

/** Points as often as their weights ask, evenly along the running sum. */
function pickCentres(logits: readonly Float64Array[], weights: Float64Array): readonly Float64Array[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const centres: Float64Array[] = []
  let sum = 0
  for (let i = 0; i < logits.length; i++) {
    sum += weights[i]! / total
    while (centres.length < CENTRES && sum * CENTRES > centres.length + 0.5) centres.push(logits[i]!)
  }
  return centres
}

/** Lower Cholesky factor of the weighted covariance, scaled to a kernel's width. */
function kernelFactor(logits: readonly Float64Array[], weights: Float64Array): Matrix {
  const dimensions = logits[0]!.length
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const mean = new Float64Array(dimensions)
  for (let i = 0; i < logits.length; i++) {
    const share = weights[i]! / total
    for (let j = 0; j < dimensions; j++) mean[j]! += share * logits[i]![j]!
  }
  const covariance = Array.from({ length: dimensions }, () => new Array<number>(dimensions).fill(0))
  for (let i = 0; i < logits.length; i++) {
    const share = weights[i]! / total
    if (!(share < 1e-9)) addProducts(covariance, { point: logits[i]!, mean, share })
  }
  for (let j = 0; j < dimensions; j++) covariance[j]![j]! += LEAST_VARIANCE
  return new CholeskyDecomposition(covariance).lowerTriangularMatrix.mul(KERNEL_WIDTH)
}

function addProducts(
  covariance: readonly number[][],
  of: { readonly point: Float64Array; readonly mean: Float64Array; readonly share: number },
): void {
  const { point, mean, share } = of
  for (let j = 0; j < point.length; j++) {
    const row = covariance[j]!
    for (let l = 0; l < point.length; l++) {
      row[l]! += share * ((point[j]! - mean[j]!) * (point[l]! - mean[l]!))
    }
  }
}

function drawAround(
  centres: readonly Float64Array[],
  factor: Matrix,
  count: number,
): readonly Float64Array[] {
  const dimensions = factor.rows
  const rows = Array.from({ length: dimensions }, (_, j) => factor.getRow(j))
  return kroneckerPoints(count, dimensions).map((point, i) => {
    const normals = point.map(normalScore)
    const centre = centres[i % centres.length]!
    return centre.map((z, j) => {
      let sum = z
      for (let l = 0; l <= j; l++) sum += rows[j]![l]! * normals[l]!
      return Math.max(-FARTHEST, Math.min(FARTHEST, sum))
    })
  })
}

/** Logits beyond this are so far in the prior's tail that they stand for the wall of the cube. */
const FARTHEST = 12

function makeKernels(centres: readonly Float64Array[], factor: Matrix, count: number): Kernels {
  const dimensions = factor.rows
  const whiten = invertLower(factor)
  let logNorm = -0.5 * dimensions * Math.log(2 * Math.PI) - Math.log(centres.length)
  for (let j = 0; j < dimensions; j++) logNorm -= Math.log(factor.get(j, j))
  return {
    count,
    whiten,
    centres: centres.map((centre) => whitened(whiten, centre, new Float64Array(dimensions))),
    logNorm,
    room: new Float64Array(dimensions),
  }
}

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

function whitened(whiten: readonly Float64Array[], point: Float64Array, out: Float64Array): Float64Array {
  for (let j = 0; j < out.length; j++) {
    const row = whiten[j]!
    let sum = 0
    for (let l = 0; l <= j; l++) sum += row[l]! * point[l]!
    out[j] = sum
  }
  return out
}

function kernelLogDensity(kernel: Kernels, point: Float64Array): number {
  const at = whitened(kernel.whiten, point, kernel.room)
  let sum = 0
  for (let n = 0; n < kernel.centres.length; n++) {
    const centre = kernel.centres[n]!
    let square = 0
    for (let j = 0; j < at.length && square < 121; j++) {
      const off = at[j]! - centre[j]!
      square += off * off
    }
    // Beyond eleven deviations a kernel adds less than rounding does.
    if (square < 121) sum += Math.exp(-square / 2)
  }
  return kernel.logNorm + Math.log(sum)
}
