import { describe, expect, it } from 'vitest'
import { autocorrelation, mean, standardDeviation } from '../../src/numeric/statistics/moments.js'
import { digits } from './nist/digits.js'
import univariate from './nist/univariate.json' with { type: 'json' }

/** NumAcc3 and NumAcc4 are limited by the conversion of their decimals to binary (NIST's own remark beside the data). */
const REACHABLE: Readonly<Record<string, number>> = { NumAcc3: 9.4, NumAcc4: 8.2 }

// NIST StRD Univariate Summary Statistics; each dataset's page is named beside its data.
describe('NIST univariate statistics', () => {
  for (const set of univariate.datasets) {
    it(`${set.name}: mean, standard deviation and lag-1 autocorrelation have all digits that the data allow`, () => {
      const bar = REACHABLE[set.name] ?? 13
      expect(digits([mean(set.data) ?? Number.NaN], [set.mean], 15)).toBeGreaterThanOrEqual(14)
      const deviation = standardDeviation(set.data) ?? Number.NaN
      expect(digits([deviation], [set.standardDeviation], 15)).toBeGreaterThanOrEqual(bar)
      const lag1 = autocorrelation(set.data, 1) ?? Number.NaN
      expect(digits([lag1], [set.lag1Autocorrelation], 15)).toBeGreaterThanOrEqual(Math.min(bar, 10.5))
    })
  }
})
