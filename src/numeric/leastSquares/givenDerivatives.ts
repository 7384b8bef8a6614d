import { InputError } from '../../errors.js'
import { allFinite } from '../allFinite.js'
import { plainArray } from '../plainArray.js'
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
  const exact: Derivatives = (at, _residuals, columns) => {
    if (jacobianColumns) copyColumns(jacobianColumns(plainArray(at)), columns)
    else copyRows(jacobian!(plainArray(at)), columns)
    return columns.every(allFinite)
  }
  const errors = { quick: Number.EPSILON, coarse: Number.EPSILON, fine: Number.EPSILON }
  if (!jacobian && !jacobianColumns) return undefined
  return { quick: exact, coarse: exact, fine: exact, forgetSteps: () => {}, errors }
}

function copyColumns(given: ArrayLike<ArrayLike<number>>, columns: readonly Float64Array[]): void {
  const count = columns[0]!.length
  if (given.length !== columns.length || given[0]!.length !== count) {
    throw new InputError(
      'jacobian-shape',
      `${columns.length} columns of ${count} derivatives were needed, got ${given.length} of ${given[0]?.length ?? 0}.`,
    )
  }
  for (const [j, column] of columns.entries()) column.set(given[j]!)
}

function copyRows(given: ArrayLike<ArrayLike<number>>, columns: readonly Float64Array[]): void {
  const count = columns[0]!.length
  if (given.length !== count || given[0]?.length !== columns.length) {
    throw new InputError(
      'jacobian-shape',
      `The Jacobian needs ${count} rows of ${columns.length} derivatives, got ${given.length} of ${given[0]?.length ?? 0}.`,
    )
  }
  columns.forEach((column, j) => {
    for (let i = 0; i < count; i++) column[i] = given[i]![j]!
  })
}
