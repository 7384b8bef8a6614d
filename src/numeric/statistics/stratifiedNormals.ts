import { normalQuantile } from './normalQuantile.js'
import { seededRandom } from './random.js'

/**
 * Rows of standard normal numbers whose every column is an exact sample: the same evenly spread quantiles, shuffled column by
 * column. A few hundred rows give quantiles that purely random ones need thousands for; the seed repeats them.
 *
 * @param count - rows
 * @param columns - numbers in a row
 * @param seed - a whole number
 * @source Latin hypercube sampling: M. D. McKay, R. J. Beckman, W. J. Conover (1979), Technometrics 21, 239-245
 * @example stratifiedNormals(3, 1, 1).map((row) => row[0]).sort() // [-0.967, 0, 0.967]
 */
export function stratifiedNormals(count: number, columns: number, seed: number): readonly Float64Array[] {
  const random = seededRandom(seed)
  const rows = Array.from({ length: count }, () => new Float64Array(columns))
  const values = rows.map((_, i) => normalQuantile((i + 0.5) / count))
  for (let j = 0; j < columns; j++) {
    for (let i = count - 1; i > 0; i--) {
      const other = random.integer(i + 1)
      const kept = values[i]!
      values[i] = values[other]!
      values[other] = kept
    }
    for (let i = 0; i < count; i++) rows[i]![j] = values[i]!
  }
  return rows
}
