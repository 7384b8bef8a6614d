/** A value with an interval that holds the true value with probability `level` (0.9 unless said otherwise). */
export interface Estimate {
  readonly value: number
  readonly low: number
  readonly high: number
  readonly level: number
}

/** The interval level of every published figure. */
export const ESTIMATE_LEVEL = 0.9
