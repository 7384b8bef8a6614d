import { CholeskyDecomposition, type Matrix } from 'ml-matrix'
import { concatenate } from '../../numeric/concatenate.js'
import { kroneckerPoints } from '../../numeric/statistics/kroneckerPoint.js'
import {
  addKernelDensities,
  type NormalKernels,
  normalKernels,
} from '../../numeric/statistics/normalKernels.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'

/** Points of a family's unit cube, with the kernels that some of them were drawn around. */
export interface PointCloud {
  readonly dimensions: number
  /** Logits of the coordinates, the cube without its walls: all of one point, then of the next. */
  readonly logits: Float64Array
  /** ln of prior density over the density that the points were drawn from, for each point. */
  readonly logWeights: Float64Array
  /** ln prior density of each point's logits. */
  readonly logPriors: Float64Array
  /** Density that the points were drawn from, over the prior's, times their number. */
  readonly densities: Float64Array
  readonly kernels: readonly NormalKernels[]
}

/** A cloud drawn evenly from the prior. */
export function priorCloud(count: number, dimensions: number): PointCloud {
  const { logits, logPriors } = firstPoints(count, dimensions)
  const logWeights = new Float64Array(count).fill(-Math.log(count))
  const densities = new Float64Array(count).fill(count)
  return { dimensions, logits, logWeights, logPriors, densities, kernels: [] }
}

export function pointCount({ logWeights }: PointCloud): number {
  return logWeights.length
}

/** The same for every fit: never written to. */
type FirstPoints = Pick<PointCloud, 'logits' | 'logPriors'>
const FIRST_POINTS = new Map<string, FirstPoints>()

function firstPoints(count: number, dimensions: number): FirstPoints {
  const key = `${count} ${dimensions}`
  const known = FIRST_POINTS.get(key)
  if (known !== undefined) return known
  const logits = Float64Array.from(kroneckerPoints(count, dimensions).flat(), logit)
  const logPriors = new Float64Array(count)
  for (let i = 0; i < count; i++) logPriors[i] = logPrior(logits, i * dimensions, dimensions)
  const points = { logits, logPriors }
  FIRST_POINTS.set(key, points)
  return points
}

/** Coordinates of one point in the unit cube. */
export function cubePoint({ logits, dimensions }: PointCloud, point: number): readonly number[] {
  const out: number[] = []
  for (let at = point * dimensions; out.length < dimensions; at++) out.push(1 / (1 + Math.exp(-logits[at]!)))
  return out
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
  const { dimensions } = cloud
  const centres = pickCentres(cloud, weights)
  const factor = kernelFactor(cloud, weights)
  const newest = normalKernels(centres, factor, count)
  const kernels = [...cloud.kernels, newest]
  const logits = concatenate([cloud.logits, drawAround(centres, factor, count)])
  const knownCount = pointCount(cloud)
  const fromPrior = knownCount - cloud.kernels.reduce((sum, kernel) => sum + kernel.count, 0)
  // Points that were there before know their density under all kernels but the newest.
  const densities = new Float64Array(knownCount + count)
  densities.set(cloud.densities)
  const logPriors = new Float64Array(knownCount + count)
  logPriors.set(cloud.logPriors)
  for (let i = knownCount; i < densities.length; i++) {
    logPriors[i] = logPrior(logits, i * dimensions, dimensions)
    densities[i] = fromPrior
  }
  for (const kernel of cloud.kernels)
    addKernelDensities(kernel, { points: logits, logPriors }, densities, knownCount)
  addKernelDensities(newest, { points: logits, logPriors }, densities, 0)
  const logWeights = densities.map((density) => -Math.log(density))
  return { dimensions, logits, logWeights, logPriors, densities, kernels }
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
function logPrior(logits: Float64Array, from: number, dimensions: number): number {
  let sum = 0
  for (let j = from; j < from + dimensions; j++) {
    const size = Math.abs(logits[j]!)
    sum -= size + 2 * Math.log1p(Math.exp(-size))
  }
  return sum
}

/** Points as often as their weights ask, evenly along the running sum. */
function pickCentres({ logits, dimensions }: PointCloud, weights: Float64Array): readonly Float64Array[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const centres: Float64Array[] = []
  let sum = 0
  for (let i = 0; i < weights.length; i++) {
    sum += weights[i]! / total
    while (centres.length < CENTRES && sum * CENTRES > centres.length + 0.5) {
      centres.push(logits.subarray(i * dimensions, (i + 1) * dimensions))
    }
  }
  return centres
}

/** Lower Cholesky factor of the weighted covariance, scaled to a kernel's width. */
function kernelFactor(cloud: PointCloud, weights: Float64Array): Matrix {
  const covariance = weightedCovariance(cloud, weights)
  for (let j = 0; j < covariance.length; j++) covariance[j]![j]! += LEAST_VARIANCE
  return new CholeskyDecomposition(covariance).lowerTriangularMatrix.mul(KERNEL_WIDTH)
}

function weightedCovariance({ logits, dimensions }: PointCloud, weights: Float64Array): number[][] {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const mean = new Float64Array(dimensions)
  for (let i = 0, at = 0; i < weights.length; i++) {
    const share = weights[i]! / total
    for (let j = 0; j < dimensions; j++, at++) mean[j]! += share * logits[at]!
  }
  const covariance = Array.from({ length: dimensions }, () => new Array<number>(dimensions).fill(0))
  const off = new Float64Array(dimensions)
  for (let i = 0; i < weights.length; i++) {
    const share = weights[i]! / total
    if (share < 1e-9) continue
    for (let j = 0; j < dimensions; j++) off[j] = logits[i * dimensions + j]! - mean[j]!
    for (let j = 0; j < dimensions; j++) {
      const row = covariance[j]!
      for (let l = 0; l < dimensions; l++) row[l]! += share * (off[j]! * off[l]!)
    }
  }
  return covariance
}

function drawAround(centres: readonly Float64Array[], factor: Matrix, count: number): Float64Array {
  const dimensions = factor.rows
  const rows = Array.from({ length: dimensions }, (_, j) => factor.getRow(j))
  const points = new Float64Array(count * dimensions)
  const normals = new Float64Array(dimensions)
  kroneckerPoints(count, dimensions).forEach((point, i) => {
    for (let j = 0; j < dimensions; j++) normals[j] = normalScore(point[j]!)
    const centre = centres[i % centres.length]!
    for (let j = 0; j < dimensions; j++) {
      let sum = centre[j]!
      for (let l = 0; l <= j; l++) sum += rows[j]![l]! * normals[l]!
      points[i * dimensions + j] = Math.max(-FARTHEST, Math.min(FARTHEST, sum))
    }
  })
  return points
}

/** Logits beyond this are so far in the prior's tail that they stand for the wall of the cube. */
const FARTHEST = 12
