import { InputError } from '../../errors.js'
import { dot } from '../dot.js'
import { householderQr } from './householderQr.js'

/** A least-squares fit whose parameters may not be negative. */
export interface NonNegativeFit {
  /** One per column, 0 or above. */
  readonly parameters: readonly number[]
  /** Indices of the parameters above 0, rising. */
  readonly positive: readonly number[]
  readonly residuals: readonly number[]
  readonly residualSumOfSquares: number
}

/**
 * Fits `values` by a combination of the design's columns with weights that are never negative, such as the thermal
 * resistances of a network on a grid of time constants.
 *
 * Active-set method: columns enter one at a time, the one with the steepest descent first, and leave when their
 * parameter would turn negative; ends when the Kuhn-Tucker conditions hold. Tall problems are first reduced to p rows
 * by Householder QR, which changes nothing in exact arithmetic.
 *
 * @param problem.design - n rows of p numbers
 * @param problem.values - n numbers
 * @throws InputError `design-unusable`
 * @source C. L. Lawson, R. J. Hanson (1974), Solving Least Squares Problems, chapter 23
 * @example nonNegativeLeastSquares({ design: [[1, 0], [0, 1]], values: [2, -1] }).parameters // [2, 0]
 */
export function nonNegativeLeastSquares(problem: {
  readonly design: readonly ArrayLike<number>[]
  readonly values: ArrayLike<number>
}): NonNegativeFit {
  requireDesign(problem)
  const reduced = reduce(problem)
  const scaled = activeSet(reduced.columns, reduced.values)
  const parameters = scaled.map((value, j) => value / reduced.scales[j]!)
  const residuals = problem.design.map(
    (row, i) => problem.values[i]! - parameters.reduce((sum, value, j) => sum + value * row[j]!, 0),
  )
  return {
    parameters,
    positive: parameters.flatMap((value, j) => (value > 0 ? [j] : [])),
    residuals,
    residualSumOfSquares: residuals.reduce((sum, r) => sum + r * r, 0),
  }
}

interface Reduced {
  /** Columns of length 1 (or 0). */
  readonly columns: readonly Float64Array[]
  readonly values: Float64Array
  readonly scales: readonly number[]
}

function reduce({ design, values }: Parameters<typeof nonNegativeLeastSquares>[0]): Reduced {
  const columnCount = design[0]!.length
  const scales = Array.from({ length: columnCount }, (_, j) => {
    return Math.sqrt(design.reduce((sum, row) => sum + row[j]! ** 2, 0)) || 1
  })
  const columns = scales.map((scale, j) => Float64Array.from(design, (row) => row[j]! / scale))
  const right = Float64Array.from(values)
  if (design.length <= columnCount) return { columns, values: right, scales }
  const { upper, projected } = householderQr(columns, right)
  return {
    columns: scales.map((_, j) => Float64Array.from(upper, (row) => row[j]!)),
    values: projected,
    scales,
  }
}

function activeSet(columns: Reduced['columns'], values: Float64Array): readonly number[] {
  let x = columns.map(() => 0)
  let passive: readonly number[] = []
  const barred = new Set<number>()
  // A slope below the rounding of the products that make it up is no slope.
  const tolerance = 10 * Number.EPSILON * columns.length * norm(values)
  for (let pass = 0; pass < 10 * columns.length; pass++) {
    const residuals = values.map((v, i) => v - passive.reduce((sum, j) => sum + columns[j]![i]! * x[j]!, 0))
    const slopes = columns.map((column) => dot(column, residuals))
    const free = columns.flatMap((_, j) => (passive.includes(j) || barred.has(j) ? [] : [j]))
    const steepest = free.reduce((best, j) => (slopes[j]! > (slopes[best] ?? tolerance) ? j : best), -1)
    if (steepest < 0) break
    const next = enter(columns, values, x, [...passive, steepest])
    if (next.x[steepest]! > 0) {
      barred.clear()
      x = next.x
      passive = next.passive
    } else {
      // The column depends on those inside: rounding alone gave it a slope (Lawson & Hanson's guard).
      barred.add(steepest)
    }
  }
  return x
}

/** Least squares on the passive columns, stepping back and dropping columns until none is negative. */
function enter(
  columns: Reduced['columns'],
  values: Float64Array,
  start: readonly number[],
  candidates: readonly number[],
): { readonly x: number[]; readonly passive: readonly number[] } {
  let x = [...start]
  let passive = candidates
  while (passive.length > 0) {
    const solution = leastSquares(
      passive.map((j) => columns[j]!),
      values,
    )
    if (solution.every((value) => value > 0)) {
      x = columns.map(() => 0)
      for (const [k, j] of passive.entries()) x[j] = solution[k]!
      break
    }
    // Go towards the solution until the first parameter reaches 0, and drop those that reach it there.
    const reach = passive.map((j, k) => (solution[k]! > 0 ? 1 : x[j]! / (x[j]! - solution[k]! || 1)))
    const fraction = Math.min(...reach)
    for (const [k, j] of passive.entries()) x[j]! += fraction * (solution[k]! - x[j]!)
    const dropped = passive.filter((_, k) => solution[k]! <= 0 && reach[k]! <= fraction)
    for (const j of dropped) x[j] = 0
    passive = passive.filter((j) => !dropped.includes(j))
  }
  return { x, passive }
}

function leastSquares(columns: readonly Float64Array[], values: Float64Array): readonly number[] {
  // A newcomer that depends on the others gets nothing, so that `enter` drops it and `activeSet` bars it.
  const refused = columns.map((_, k) => (k < columns.length - 1 ? 1 : 0))
  if (columns.length > values.length) return refused
  const { upper, projected } = householderQr(columns, values)
  if (upper.some((row, k) => row[k] === 0)) return refused
  const solution = Array.from(projected)
  for (let k = solution.length - 1; k >= 0; k--) {
    for (let j = k + 1; j < solution.length; j++) solution[k]! -= upper[k]![j]! * solution[j]!
    solution[k]! /= upper[k]![k]!
  }
  return solution
}

function norm(values: Float64Array): number {
  return Math.sqrt(dot(values, values))
}

function requireDesign({ design, values }: Parameters<typeof nonNegativeLeastSquares>[0]): void {
  const columnCount = design[0]?.length ?? 0
  const even = columnCount > 0 && design.every((row) => row.length === columnCount)
  const finite = even && design.every((row) => Array.from(row).every(Number.isFinite))
  if (!(finite && values.length === design.length && Array.from(values).every(Number.isFinite))) {
    throw new InputError(
      'design-unusable',
      `expected n >= 1 rows of p >= 1 finite numbers and n finite values, got ${design.length} rows of ${columnCount} and ${values.length} values`,
      { remedy: 'Check for missing values.' },
    )
  }
}
