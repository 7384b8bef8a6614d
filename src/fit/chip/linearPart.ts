import { dot } from '../../numeric/dot.js'
import { jacobiSvd } from '../../numeric/leastSquares/jacobiSvd.js'

/** ln score = ln scale + candidate + basis x coefficients + noise; every coefficient is normal around 0. */
export interface LinearPart {
  /** `basis[k][j]`: effect of coefficient j on ln score of run k. */
  readonly basis: readonly Float64Array[]
  /** Prior variance of each coefficient. */
  readonly variances: Float64Array
  /** Noise variance of each run relative to the others': 1 for an ordinary run, more for a doubtful one. */
  readonly spread: Float64Array
}

/** Whether two linear parts say the same, to the last digit. */
export function isSamePart(a: LinearPart, b: LinearPart): boolean {
  const same = (one: Float64Array, two: Float64Array) => one.every((value, j) => value === two[j])
  return (
    same(a.spread, b.spread) &&
    same(a.variances, b.variances) &&
    a.basis.every((row, k) => same(row, b.basis[k]!))
  )
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
  /** Directions in run space that coefficients move; `directions[i][k]` includes the division by the run's spread. */
  readonly directions: readonly Float64Array[]
  readonly eigenvalues: Float64Array
  /** 1 / variance along each direction, and at right angles to all of them, noise level by noise level. */
  readonly precisions: Float64Array
  /** Prior of each noise level and the normal density's constant, in logs. */
  readonly logConstants: Float64Array
  /** Room for one misfit's squares along each direction and across all, reused between candidates. */
  readonly squares: Float64Array
}

/**
 * Takes apart the covariance of ln scores, sigma² D + B S B', into directions that are independent for every sigma at once:
 * the eigenvectors of D^-½ B S B' D^-½, found as singular vectors of D^-½ B S^½. A candidate's likelihood then costs one product and a sum for each noise level. Where no
 * coefficient moves the runs, which is most of run space, all directions are alike and only the length across counts.
 */
export function preparePart(part: LinearPart, noise: NoiseGrid): PreparedPart {
  const runs = part.basis.length
  const { values, vectors } = singularDirections(scaledColumns(part))
  const least = UNMOVED * Math.min(...noise.deviations) ** 2
  const moved = values.flatMap((value, i) => (value > least ? [i] : []))
  const directions = moved.map((i) => part.spread.map((spread, k) => vectors[i]![k]! / Math.sqrt(spread)))
  const eigenvalues = Float64Array.from(moved, (i) => values[i]!)
  const logConstants = Float64Array.from(noise.deviations, (sigma, s) => {
    const across = noise.logWeights[s]! - (runs - moved.length) * Math.log(sigma)
    return eigenvalues.reduce((sum, value) => sum - Math.log(sigma * sigma + value) / 2, across)
  })
  const precisions = Float64Array.from(
    noise.deviations.flatMap((sigma) => [...eigenvalues, 0].map((value) => 1 / (sigma * sigma + value))),
  )
  const squares = new Float64Array(moved.length + 1)
  return { part, noise, directions, eigenvalues, precisions, logConstants, squares }
}

/** A variance below this share of the least noise's changes no digit that is kept. */
const UNMOVED = 1e-9

/** Columns of D^-½ B S^½ that are not all 0. */
function scaledColumns({ basis, variances, spread }: LinearPart): readonly Float64Array[] {
  const columns = Array.from(variances, (variance, j) =>
    spread.map((value, k) => basis[k]![j]! * Math.sqrt(variance / value)),
  )
  return columns.filter((column) => column.some((value) => value !== 0))
}

/** Eigenvalues and eigenvectors of A A' for the columns of A, but those of eigenvalue 0: rotating the shorter side takes less time. */
function singularDirections(columns: readonly Float64Array[]): {
  readonly values: readonly number[]
  readonly vectors: readonly Float64Array[]
} {
  const runs = columns[0]!.length
  const isTall = columns.length <= runs
  const rows = () =>
    Array.from({ length: runs }, (_, k) => Float64Array.from(columns, (column) => column[k]!))
  const { values, left, right } = jacobiSvd(isTall ? columns : rows())
  return { values: Array.from(values, (value) => value * value), vectors: isTall ? left : right }
}

/**
 * Log likelihood of misfits (ln rate measured minus candidate) at every noise level, prior of the noise included.
 *
 * @param misfits - of one candidate after the other, all runs each
 * @param out - receives one value for each noise level, candidate by candidate
 * @param first - the first candidate to do; those before are done
 */
export function logLikelihoods(
  prepared: PreparedPart,
  misfits: Float64Array,
  out: Float64Array,
  first = 0,
): void {
  const { directions, precisions, logConstants, squares } = prepared
  const { spread } = prepared.part
  const runs = spread.length
  const levels = logConstants.length
  for (
    let from = first * runs, offset = first * levels;
    from < misfits.length;
    from += runs, offset += levels
  ) {
    let across = 0
    for (let k = 0; k < runs; k++) across += (misfits[from + k]! * misfits[from + k]!) / spread[k]!
    for (let i = 0; i < directions.length; i++) {
      const direction = directions[i]!
      let along = 0
      for (let k = 0; k < runs; k++) along += direction[k]! * misfits[from + k]!
      squares[i] = along * along
      across -= along * along
    }
    squares[directions.length] = Math.max(0, across)
    for (let s = 0, at = 0; s < levels; s++) {
      let sum = 0
      for (let i = 0; i < squares.length; i++, at++) sum += squares[i]! * precisions[at]!
      out[offset + s] = logConstants[s]! - sum / 2
    }
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
  const { spread } = prepared.part
  const noise = sigma * sigma
  const out = vector.map((value, k) => value / (noise * spread[k]!))
  for (let i = 0; i < directions.length; i++) {
    const direction = directions[i]!
    const size = dot(direction, vector) * (1 / (noise + eigenvalues[i]!) - 1 / noise)
    for (let k = 0; k < out.length; k++) out[k]! += size * direction[k]!
  }
  return out
}
