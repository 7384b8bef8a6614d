import { freeParameters } from './activeBounds.js'
import { crossProducts, triangleFromProducts } from './crossProducts.js'
import { type Triangle, triangularise } from './householder.js'
import { type RemainingStep, remainingStep } from './remainingStep.js'
import type { Point, Problem } from './residualPoint.js'
import { type LinearModel, linearModel } from './trustRegionStep.js'
import { type Strategy, scalesFor } from './variableScales.js'

/** A problem as it looks from a point: linearised, with the parameters that may move and how far it is to go. */
export interface LinearView extends RemainingStep {
  /** Derivatives of the residuals, one column a parameter. */
  readonly columns: readonly Float64Array[]
  /** Indices of the parameters that aren't held by a bound. */
  readonly free: readonly number[]
  /** The free columns reduced to a triangle. */
  readonly triangle: Triangle
  /** What a unit of each parameter weighs in the length of a step. */
  readonly scales: Float64Array
  readonly model: LinearModel
}

/**
 * The view from a point with the given derivatives.
 *
 * @param look.columns - derivatives of the residuals, one column a parameter
 * @param look.scales - of the view before, when there was one
 * @param look.work - as many columns that may be overwritten, asked for where the columns' products don't serve
 */
export function linearView(
  problem: Problem,
  point: Point,
  look: {
    readonly columns: readonly Float64Array[]
    readonly strategy: Strategy
    readonly scales: Float64Array | undefined
    readonly work: () => readonly Float64Array[]
  },
): LinearView {
  const { columns, strategy } = look
  const products = crossProducts(columns, point.residuals)
  const free = freeParameters(problem, point, products.withRight)
  const lengths = point.parameters.map((_, j) => Math.sqrt(products.among[j]![j]!))
  const scales = scalesFor(strategy, look.scales, lengths, point.parameters)
  const triangle =
    triangleFromProducts(products, free) ??
    triangularise(
      free.map((j) => columns[j]!),
      point.residuals,
      look.work(),
    )
  const { rankTolerance } = problem
  const model = linearModel({ triangle, scales: pick(scales, free), rankTolerance })
  const { remaining, remainingErrors, spread } = remainingStep(point, free, model)
  return { columns, free, triangle, scales, model, remaining, remainingErrors, spread }
}

function pick(values: Float64Array, indices: readonly number[]): Float64Array {
  const result = new Float64Array(indices.length)
  for (let k = 0; k < result.length; k++) result[k] = values[indices[k]!]!
  return result
}
