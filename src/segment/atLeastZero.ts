import type { Estimate } from '../numeric/estimate.js'

/** An estimate of something that can't be below zero: what of it lies there is moved to zero, order and level kept. */
export function atLeastZero({ value, low, high, level }: Estimate): Estimate {
  return { value: Math.max(0, value), low: Math.max(0, low), high: Math.max(0, high), level }
}
