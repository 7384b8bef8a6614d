import { normalQuantile } from '../../../numeric/statistics/normalQuantile.js'

/** The value of a normal distribution below which a share of it lies; shares are kept a ten-thousandth off 0 and 1. */
export function normalAt(u: number, mean: number, deviation: number): number {
  return mean + deviation * normalQuantile(within(1e-4, 1 - 1e-4, u))
}

/** A value held between two others. */
export function within(low: number, high: number, value: number): number {
  return Math.min(high, Math.max(low, value))
}
