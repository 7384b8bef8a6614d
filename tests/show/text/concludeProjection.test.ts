import { describe, expect, it } from 'vitest'
import type { Projection } from '../../../src/predict/projection/projection.js'
import { NO_BREAK } from '../../../src/show/figures/digits.js'
import { concludeProjection } from '../../../src/show/text/concludeProjection.js'

const estimate = (value: number, low: number, high: number) => ({ value, low, high, level: 0.9 })

function concluded(steadyPct: ReturnType<typeof estimate>, better: 'higher' | 'lower' = 'higher'): string {
  const run = { score: estimate(100, 98, 102) }
  const projection = {
    chip: 'Kestrel 16',
    target: { sustainedW: 55, burstW: 55, shortTermW: null },
    ...{ first: run, steady: run, change: { firstPct: null, steadyPct }, sweep: [] },
    extrapolation: { outside: true, measuredRangeW: [24.9, 50], targetRangeW: [54.99, 55.01] },
  } as unknown as Projection
  return concludeProjection(projection, { name: 'tiles', score: 's', better }).replaceAll(NO_BREAK, ' ')
}

describe('the sentence of a projection', () => {
  it('tells a change without a sign, with its interval', () => {
    expect(concluded(estimate(-5, -7, -3))).toContain(', 5 % less than as tested (3 to 7 %),')
    expect(concluded(estimate(5, 3, 7), 'lower')).toContain(', 5 % more time than as tested (3 to 7 %),')
  })

  it('says neither more nor less where both are possible', () => {
    expect(concluded(estimate(-4, -12, 4))).toContain(
      ', neither clearly more nor less than as tested (−12 to 4 %),',
    )
  })

  it('names one power where a range has one', () => {
    expect(concluded(estimate(5, 3, 7))).toContain(
      'was measured from 24.9 to 50.0 W, and the target needs 55.0 W.',
    )
  })
})
