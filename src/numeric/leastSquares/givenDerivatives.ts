import { InputError } from '../../errors.js'
import { allFinite } from '../allFinite.js'
import type { Derivatives, Differentiator } from './differentiate.js'

/** Derivatives of residuals as someone computes them; p columns of n numbers, or n rows of p. */
export type JacobianFunction = (parameters: readonly number[]) => ArrayLike<ArrayLike<number>>

/**
 * Derivatives by the Jacobian that comes with a problem, if one does.
 *
 * @param problem.jacobian - n rows of p derivatives
 * @param problem.jacobianColumns - p columns of n derivatives
 * @throws InputError `jacobian-shape`, when they are called
 */
export function givenDerivatives(problem: {
  readonly jacobian?: JacobianFunction | undefined
  readonly jacobianColumns?: JacobianFunction | undefined
}): Differentiator | undefined {
  const { jacobian, jacobianColumns } = problem
  if (!jacobian && !jacobianColumns) return undefined
  const exact: Derivatives = (at, residuals) => {
    const parameters = Array.from(at)
    const columns = jacobianColumns
      ? columnsOf(jacobianColumns(parameters), at.length, residuals.length)
      : columnsOfRows(jacobian!(parameters), at.length, residuals.length)
    return columns.every(allFinite) ? columns : undefined
  }
  const errors = { quick: Number.EPSILON, coarse: Number.EPSILON, fine: Number.EPSILON }
  return { quick: exact, coarse: exact, fine: exact, forgetSteps: () => {}, errors }
}

function columnsOf(given: ArrayLike<ArrayLike<number>>, columnCount: number, count: number): Float64Array[] {
  if (given.length !== columnCount || given[0]!.length !== count) {
    throw new InputError(
      'jacobian-shape',
      `expected ${columnCount} columns of ${count} derivatives, got ${given.length} of ${given[0]?.length ?? 0}`,
    )
  }
  return Array.from(given, (column) => new Float64Array(column))
}

function columnsOfRows(
  given: ArrayLike<ArrayLike<number>>,
  columnCount: number,
  count: number,
): Float64Array[] {
  if (given.length !== count || given[0]?.length !== columnCount) {
    throw new InputError(
      'jacobian-shape',
      `expected ${count} rows of ${columnCount} derivatives, got ${given.length} of ${given[0]?.length ?? 0}`,
    )
  }
  return Array.from({ length: columnCount }, (_, j) => Float64Array.from(given, (row) => row[j]!))
}
