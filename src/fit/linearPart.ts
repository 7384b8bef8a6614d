import { EigenvalueDecomposition, Matrix } from 'ml-matrix'
import { dot } from '../numeric/dot.js'

/** ln score = ln scale + candidate + basis x coefficients + noise; every coefficient is normal around 0. */
export interface LinearPart {
  /** `basis[k][j]`: effect of coefficient j on ln score of run k. */
  readonly basis: readonly Float64Array[]
  /** Prior variance of each coefficient. */
  readonly variances: Float64Array
  /** Noise variance of each run relative to the others': 1 for an ordinary run, more for a doubtful one. */
  readonly spread: Float64Array
}

/** What the noise of a run may be (relative standard deviation) and how probable each is beforehand. */
export interface NoiseGrid {
  readonly deviations: readonly number[]
  readonly logWeights: readonly number[]
}

/** The linear part with its covariance taken apart once, for all candidates and noise levels. */
export interface PreparedPart {
  readonly part: LinearPart
  readonly noise: NoiseGrid
  /** Rows: directions in run space; `directions[i][k]` includes the division by the run's spread. */
  readonly directions: readonly Float64Array[]
  readonly eigenvalues: Float64Array
  /** 1 / variance along each direction, noise level by noise level. */
  readonly precisions: Float64Array
  /** Prior of each noise level and the normal density's constant, in logs. */
  readonly logConstants: Float64Array
  /** Room for one misfit, reused between candidates. */
  readonly squares: Float64Array
}

/**
 * Takes apart the covariance of ln scores, sigma² D + B S B', into directions that are independent for every sigma at once:
 * the eigenvectors of D^-½ B S B' D^-½. A candidate's likelihood then costs one product and a sum for each noise level.
 */
export function preparePart(part: LinearPart, noise: NoiseGrid): PreparedPart {
  const runs = part.basis.length
  const scaled = part.basis.map((row, k) =>
    row.map((value, j) => value * Math.sqrt(part.variances[j]! / part.spread[k]!)),
  )
  const b = new Matrix(scaled.map((row) => Array.from(row)))
  const eigen = new EigenvalueDecomposition(b.mmul(b.transpose()), { assumeSymmetric: true })
  const vectors = eigen.eigenvectorMatrix
  const directions = Array.from({ length: runs }, (_, i) =>
    Float64Array.from({ length: runs }, (_, k) => vectors.get(k, i) / Math.sqrt(part.spread[k]!)),
  )
  const eigenvalues = Float64Array.from(eigen.realEigenvalues, (value) => Math.max(0, value))
  const logConstants = Float64Array.from(noise.deviations, (sigma, s) =>
    eigenvalues.reduce((sum, value) => sum - Math.log(sigma * sigma + value) / 2, noise.logWeights[s]!),
  )
  const precisions = Float64Array.from(
    noise.deviations.flatMap((sigma) => Array.from(eigenvalues, (value) => 1 / (sigma * sigma + value))),
  )
  return { part, noise, directions, eigenvalues, precisions, logConstants, squares: new Float64Array(runs) }
}

/**
 * Log likelihood of misfits (ln rate measured minus candidate) at every noise level, prior of the noise included.
 *
 * @param out - receives one value for each noise level from `offset` on
 */
export function logLikelihoods(
  prepared: PreparedPart,
  misfit: Float64Array,
  out: Float64Array,
  offset: number,
): void {
  const { precisions, logConstants, squares } = prepared
  turn(prepared, misfit, squares)
  for (let i = 0; i < squares.length; i++) squares[i]! *= squares[i]!
  for (let s = 0, at = 0; s < logConstants.length; s++) {
    let sum = 0
    for (let i = 0; i < squares.length; i++, at++) sum += squares[i]! * precisions[at]!
    out[offset + s] = logConstants[s]! - sum / 2
  }
}

/**
 * A posterior draw of the coefficients, from a prior draw that is moved by what it fails to explain.
 *
 * @param normals - one standard normal for each coefficient, then one for each run; all 0 gives the posterior mean
 * @source Matheron's rule: A. G. Journel, C. J. Huijbregts (1978), Mining Geostatistics, section VII.A (from memory)
 */
export function drawCoefficients(
  prepared: PreparedPart,
  misfit: Float64Array,
  sigma: number,
  normals: ArrayLike<number>,
): Float64Array {
  const { basis, variances, spread } = prepared.part
  const drawn = variances.map((variance, j) => Math.sqrt(variance) * normals[j]!)
  const unexplained = misfit.map((value, k) => {
    const noise = sigma * Math.sqrt(spread[k]!) * normals[variances.length + k]!
    return value - noise - dot(basis[k]!, drawn)
  })
  const weighed = solveCovariance(prepared, unexplained, sigma)
  return drawn.map((value, j) => {
    let pull = 0
    for (let k = 0; k < basis.length; k++) pull += basis[k]![j]! * weighed[k]!
    return value + variances[j]! * pull
  })
}

/** (sigma² D + B S B')^-1 times a vector. */
function solveCovariance(prepared: PreparedPart, vector: Float64Array, sigma: number): Float64Array {
  const { directions, eigenvalues } = prepared
  const turned = new Float64Array(vector.length)
  turn(prepared, vector, turned)
  const out = new Float64Array(vector.length)
  for (let i = 0; i < out.length; i++) {
    const direction = directions[i]!
    const size = turned[i]! / (sigma * sigma + eigenvalues[i]!)
    for (let k = 0; k < out.length; k++) out[k]! += size * direction[k]!
  }
  return out
}

/** A vector of run space in the independent directions. */
function turn(prepared: PreparedPart, vector: Float64Array, out: Float64Array): void {
  for (let i = 0; i < out.length; i++) {
    out[i] = dot(prepared.directions[i]!, vector)
  }
}
