import { describe, expect, it } from 'vitest'
import { type ComparedCrossover, sayComparison } from '../../../src/show/terminal/sayComparison.js'

const exactly = (value: number) => ({ value, low: 0.99 * value, high: 1.01 * value, level: 0.9 })
const style = { width: 500, colour: false, charset: 'unicode' } as const

function conclude(crossover: Pick<ComparedCrossover, 'probability' | 'extrapolated'>): string {
  const score = (chip: string, value: number) => ({
    chip,
    score: exactly(value),
    perWatt: exactly(value / 50),
  })
  return sayComparison(
    {
      referenceC: null,
      workload: { name: 'Feather sort', score: 'points', better: 'higher' },
      machines: [],
      at: [
        {
          powerW: 50,
          scores: [score('Kestrel', 1000), score('Plover', 1010)],
          ratio: { value: 0.99, low: 0.95, high: 1.03, level: 0.9 },
          probabilityFirstAhead: 0.4,
          extrapolated: [],
        },
      ],
      crossovers: [{ between: ['Kestrel', 'Plover'], powerW: exactly(40), ...crossover }],
    },
    style,
  ).replaceAll('\u00a0', ' ')
}

describe('where two chips cross', () => {
  it('is told plainly where it is sure and measured', () => {
    expect(conclude({ probability: 0.95, extrapolated: [] })).toMatch(
      /Their curves cross at about 40(\.\d)? W \([^)]*\)\./,
    )
  })

  it('is told with its probability, and by whom it was not measured', () => {
    expect(conclude({ probability: 0.814, extrapolated: ['Plover'] })).toMatch(
      /Their curves probably cross \(probability 81 %\), at about 40.* W \([^)]*\), where Plover was not measured\./,
    )
    expect(conclude({ probability: 0.99, extrapolated: ['Kestrel', 'Plover'] })).toMatch(
      /cross at about .*, where Kestrel and Plover were not measured\./,
    )
  })
})
