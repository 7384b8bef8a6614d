import { describe, expect, it } from 'vitest'
import { concatenate } from '../../src/numeric/concatenate.js'

describe('series one after the other', () => {
  it('keep their order and every value', () => {
    const all = concatenate([
      Float64Array.of(1, 2),
      Float64Array.of(),
      Float64Array.of(3),
      Float64Array.of(4, 5),
    ])
    expect([...all]).toEqual([1, 2, 3, 4, 5])
    expect(concatenate([])).toHaveLength(0)
  })

  it('are the series itself where there is one', () => {
    const only = Float64Array.of(1, 2)
    expect(concatenate([only])).toBe(only)
  })
})
