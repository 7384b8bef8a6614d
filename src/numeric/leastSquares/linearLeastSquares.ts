import { Matrix, QrDecomposition, SVD } from 'ml-matrix'
import { InputError } from '../../errors.js'
import { compensatedDifference } from '../compensatedSum.js'

/** A least-squares fit of a model that is linear in its parameters. */
export interface LinearFit {
  /** One per column; the solution of least scaled length when the columns depend on each other. */
  readonly parameters: readonly number[]
  /** Undefined when the columns depend on each other or no degree of freedom is left. */
  readonly standardErrors: readonly number[] | undefined
  readonly covariance: readonly (readonly number[])[] | undefined
  /** values - design × parameters, not weighted. */
  readonly residuals: readonly number[]
  /** Weighted when weights were given. */
  readonly residualSumOfSquares: number
  readonly degreesOfFreedom: number
  /** Number of columns that are linearly independent to working precision. */
  readonly rank: number
}

/**
 * Fits `values` by a linear combination of the design's columns: minimum of Σ w (value - Σ design × parameter)².
 *
 * Columns are scaled to length 1, factorised by Householder QR, and the solution is refined with residuals in twice the
 * working precision, so that it is the solution of the given numbers even when the columns are nearly dependent
 * (Filip: a polynomial of degree 10). Standard errors take the residual variance RSS / (n - p).
 *
 * @param problem.design - n rows of p numbers
 * @param problem.values - n numbers
 * @param problem.weights - n numbers >= 0, relative precision (1/variance) of each value; equal when left out
 * @throws InputError `design-unusable`
 * @source refinement: A. Bjorck (1967), Iterative refinement of linear least squares solutions I, BIT 7, 257-278
 * @example linearLeastSquares({ design: [[1, 0], [1, 1], [1, 2]], values: [1, 3, 5] }).parameters // [1, 2]
 */
export function linearLeastSquares(problem: {
  readonly design: readonly ArrayLike<number>[]
  readonly values: ArrayLike<number>
  readonly weights?: ArrayLike<number> | undefined
}): LinearFit {
  const { rows, values, scales } = prepare(problem)
  const columnCount = scales.length
  const factors = factorise(rows)
  const solution = solve(rows, values, factors)
  const parameters = solution.map((scaled, j) => scaled / scales[j]!)
  const residuals = problem.design.map((row, i) => compensatedDifference(problem.values[i]!, row, parameters))
  const residualSumOfSquares = residuals.reduce((sum, r, i) => sum + (problem.weights?.[i] ?? 1) * r * r, 0)
  const degreesOfFreedom = countRows(problem) - columnCount
  const known = factors.rank === columnCount && degreesOfFreedom > 0
  const covariance = known
    ? covarianceOf(factors.upper, residualSumOfSquares / degreesOfFreedom, scales)
    : undefined
  const standardErrors = covariance?.map((row, j) => Math.sqrt(row[j]!))
  return {
    parameters,
    standardErrors,
    covariance,
    residuals,
    residualSumOfSquares,
    degreesOfFreedom,
    rank: factors.rank,
  }
}

interface Factors {
  readonly orthogonal: Matrix
  readonly upper: Matrix
  readonly rank: number
  readonly svd: SVD | undefined
}

interface Prepared {
  readonly rows: readonly (readonly number[])[]
  readonly values: readonly number[]
  readonly scales: readonly number[]
}

function prepare(problem: Parameters<typeof linearLeastSquares>[0]): Prepared {
  const { design, values, weights } = problem
  requireDesign(problem)
  const columnCount = design[0]!.length
  const roots = design.map((_, i) => Math.sqrt(weights?.[i] ?? 1))
  const scales = Array.from({ length: columnCount }, (_, j) => {
    const length = Math.hypot(...roots.map((root, i) => root * design[i]![j]!))
    // A power of two scales without rounding.
    return length > 0 ? 2 ** Math.round(Math.log2(length)) : 1
  })
  return {
    rows: design.map((row, i) => scales.map((scale, j) => (roots[i]! * row[j]!) / scale)),
    values: roots.map((root, i) => root * values[i]!),
    scales,
  }
}

function requireDesign({ design, values, weights }: Parameters<typeof linearLeastSquares>[0]): void {
  const columnCount = design[0]?.length ?? 0
  const even = design.every((row) => row.length === columnCount)
  const finite = even && design.every((row) => Array.from(row).every(Number.isFinite))
  const weighted = weights === undefined || Array.from(weights).every((w) => w >= 0 && Number.isFinite(w))
  const lengths = values.length === design.length && (weights?.length ?? design.length) === design.length
  const enough = columnCount > 0 && design.length >= columnCount
  if (!(finite && weighted && lengths && enough && Array.from(values).every(Number.isFinite))) {
    throw new InputError(
      'design-unusable',
      `expected n rows of p finite numbers, n >= p >= 1, n finite values and n weights >= 0, got ${design.length} rows of ${columnCount}, ${values.length} values${weights ? ` and ${weights.length} weights` : ''}`,
      { remedy: 'Check for missing values, and give at least as many values as parameters.' },
    )
  }
}

function factorise(rows: readonly (readonly number[])[]): Factors {
  const qr = new QrDecomposition(new Matrix(rows as number[][]))
  const upper = qr.upperTriangularMatrix
  const svd = new SVD(upper)
  const singular = svd.diagonal
  // Singular values below rounding of the largest one carry no information (LAPACK's usual rank decision).
  const tolerance = Number.EPSILON * rows.length * singular[0]!
  const rank = singular.filter((value) => value > tolerance).length
  return { orthogonal: qr.orthogonalMatrix, upper, rank, svd: rank < singular.length ? svd : undefined }
}

function solve(rows: Prepared['rows'], values: readonly number[], factors: Factors): readonly number[] {
  const columnCount = factors.upper.columns
  if (factors.svd) {
    return factors.svd.solve(project(factors.orthogonal, values)).to1DArray()
  }
  let solution: readonly number[] = new Array<number>(columnCount).fill(0)
  let residuals: readonly number[] = values.map(() => 0)
  let lastSize = Number.POSITIVE_INFINITY
  const columns = Array.from({ length: columnCount }, (_, j) => rows.map((row) => row[j]!))
  for (let pass = 0; pass < 12; pass++) {
    const ones = [...solution, 1]
    const gaps = rows.map((row, i) => compensatedDifference(values[i]!, [...row, residuals[i]!], ones))
    const slopes = columns.map((column) => compensatedDifference(0, column, residuals))
    const step = correction(factors, gaps, slopes)
    const size = Math.hypot(...step.solution)
    // Refinement shrinks the step by about (rounding × condition) each pass; when it no longer halves, it is done.
    if (!(size < lastSize / 2)) break
    solution = solution.map((value, j) => value + step.solution[j]!)
    residuals = residuals.map((value, i) => value + step.residuals[i]!)
    lastSize = size
  }
  return solution
}

/** Solves dr + A dx = gaps, Aᵀ dr = slopes with A = QR. */
function correction(
  { orthogonal, upper }: Factors,
  gaps: readonly number[],
  slopes: readonly number[],
): { readonly solution: readonly number[]; readonly residuals: readonly number[] } {
  const projected = project(orthogonal, gaps).to1DArray()
  const forward = forwardSubstitute(upper, slopes)
  const solution = backSubstitute(
    upper,
    projected.map((value, j) => value - forward[j]!),
  )
  const change = projected.map((value, j) => forward[j]! - value)
  const residuals = gaps.map(
    (gap, i) => gap + change.reduce((sum, value, j) => sum + orthogonal.get(i, j) * value, 0),
  )
  return { solution, residuals }
}

function project(orthogonal: Matrix, values: readonly number[]): Matrix {
  return orthogonal.transpose().mmul(Matrix.columnVector(values as number[]))
}

function backSubstitute(upper: Matrix, right: readonly number[]): readonly number[] {
  const x = [...right]
  for (let i = x.length - 1; i >= 0; i--) {
    for (let j = i + 1; j < x.length; j++) x[i]! -= upper.get(i, j) * x[j]!
    x[i]! /= upper.get(i, i)
  }
  return x
}

function forwardSubstitute(upper: Matrix, right: readonly number[]): readonly number[] {
  const x = [...right]
  for (let i = 0; i < x.length; i++) {
    for (let j = 0; j < i; j++) x[i]! -= upper.get(j, i) * x[j]!
    x[i]! /= upper.get(i, i)
  }
  return x
}

function covarianceOf(
  upper: Matrix,
  variance: number,
  scales: readonly number[],
): readonly (readonly number[])[] {
  // Rows of R⁻¹: (RᵀR)⁻¹ = R⁻¹ R⁻ᵀ without ever forming RᵀR.
  const inverseColumns = scales.map((_, j) =>
    backSubstitute(
      upper,
      scales.map((_, i) => (i === j ? 1 : 0)),
    ),
  )
  return scales.map((scaleI, i) =>
    scales.map((scaleJ, j) => {
      const sum = inverseColumns.reduce((total, column) => total + column[i]! * column[j]!, 0)
      return (variance * sum) / (scaleI * scaleJ)
    }),
  )
}

function countRows({ design, weights }: Parameters<typeof linearLeastSquares>[0]): number {
  return weights ? Array.from(weights).filter((w) => w > 0).length : design.length
}
