import type { Triangle } from './householderQr.js'

/** Why a descent ended. */
export type StopReason =
  | 'step-negligible'
  | 'rounding-limit'
  | 'residuals-zero'
  | 'not-identified'
  | 'no-progress'
  | 'evaluation-limit'
  | 'derivative-not-finite'

/** Where a descent ended, with what is needed to judge it. */
export interface Descent {
  readonly parameters: Float64Array
  readonly residuals: Float64Array
  readonly sumOfSquares: number
  readonly reason: StopReason
  /** Derivatives of the residuals, one column a parameter; none when they weren't finite. */
  readonly columns: readonly Float64Array[]
  /** Indices of the parameters that aren't held by a bound. */
  readonly free: readonly number[]
  /** The free columns reduced to a triangle. */
  readonly triangle: Triangle
}
