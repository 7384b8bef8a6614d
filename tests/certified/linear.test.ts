import { describe, expect, it } from 'vitest'
import { linearLeastSquares } from '../../src/numeric/leastSquares/linearLeastSquares.js'
import { digits } from './nist/digits.js'
import linear from './nist/linear.json' with { type: 'json' }

// NIST StRD Linear Regression; each dataset's page is named beside its data.
describe('NIST linear regression', () => {
  for (const set of linear.datasets) {
    it(`${set.name} is fitted to at least 7 digits from its raw columns`, () => {
      const degree = set.certified.length - (set.model.includes('B0') ? 1 : 0)
      const design = set.data.map(([, ...x]) => {
        const powers = x.length > 1 ? x : Array.from({ length: degree }, (_, k) => x[0]! ** (k + 1))
        return set.model.includes('B0') ? [1, ...powers] : powers
      })
      const fit = linearLeastSquares({ design, values: set.data.map((row) => row[0]!) })
      expect(fit.degreesOfFreedom).toBe(set.degreesOfFreedom)
      expect(digits(fit.parameters, set.certified, 15)).toBeGreaterThanOrEqual(7)
      expect(digits(fit.standardErrors ?? [], set.standardDeviations, 15)).toBeGreaterThanOrEqual(7)
      expect(digits([fit.residualSumOfSquares], [set.residualSumOfSquares], 15)).toBeGreaterThanOrEqual(7)
    })
  }
})
