import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bisectRight } from '../../src/numeric/bisectRight.js'
import { quickselect } from '../../src/numeric/quickselect.js'

const values = fc.array(fc.integer({ min: -20, max: 20 }), { minLength: 1, maxLength: 60 })
const sortedOf = (list: readonly number[]) => Float64Array.from(list).sort()

describe('a place among sorted values', () => {
  it('counts those that are no greater', () => {
    fc.assert(
      fc.property(values, fc.integer({ min: -22, max: 22 }), (list, value) => {
        expect(bisectRight(sortedOf(list), value)).toBe(list.filter((one) => one <= value).length)
      }),
    )
  })

  it('is looked for in a part, with all before it counted', () => {
    const sorted = Float64Array.of(1, 2, 2, 5, 7, 9)
    expect(bisectRight(sorted, 6, 2, 5)).toBe(4)
    expect(bisectRight(sorted, 0, 2, 5)).toBe(2)
    expect(bisectRight(sorted, 10, 2, 5)).toBe(5)
  })
})

describe('the value of a rank', () => {
  it('is that of the sorted values, smaller ones before it and greater ones behind', () => {
    fc.assert(
      fc.property(values, fc.nat(), (list, at) => {
        const rank = at % list.length
        const moved = Float64Array.from(list)
        const found = quickselect(moved, rank)
        expect(found).toBe(sortedOf(list)[rank])
        expect(moved[rank]).toBe(found)
        expect(moved.subarray(0, rank).every((one) => one <= found)).toBe(true)
        expect(moved.subarray(rank).every((one) => one >= found)).toBe(true)
        expect(moved.slice().sort()).toEqual(sortedOf(list))
      }),
    )
  })
})
