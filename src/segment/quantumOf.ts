import { thin } from '../numeric/thin.js'

/** So many values hold neighbours on the grid of any logger, if there is one. */
const ENOUGH = 2 ** 16

/** Step of the grid that values were rounded to: the least difference between two of them; infinite when all are equal. */
export function quantumOf(values: Float64Array): number {
  const sorted = Float64Array.from(thin(values, ENOUGH)).sort()
  let quantum = Number.POSITIVE_INFINITY
  for (let i = 1; i < sorted.length; i++) {
    const gap = sorted[i]! - sorted[i - 1]!
    if (gap > 1e-6 && gap < quantum) quantum = gap
  }
  return quantum
}
