import { expect, it } from 'vitest'
import { filterPower } from '../../../src/fit/chassis/filterPower.js'

const record = { lengthsS: [1, 1, 2, 1], powerW: [50, 50, 20, 80], temperatureC: [], restedW: 10 }

it('a step is followed by 1 - exp(-t / tau) of it', () => {
  const steady = { ...record, lengthsS: [2, 2, 2], powerW: [50, 50, 50] }
  const { valuesW } = filterPower(steady, 4, [0, 2])
  expect(valuesW[0]).toBeCloseTo(50 - 40 * Math.exp(-2 / 4), 12)
  expect(valuesW[1]).toBeCloseTo(50 - 40 * Math.exp(-6 / 4), 12)
})

it('follows intervals of any length, at the chosen ones', () => {
  const d = (lengthS: number) => Math.exp(-lengthS / 3)
  const first = 50 + (10 - 50) * d(2)
  const second = 20 + (first - 20) * d(2)
  const third = 80 + (second - 80) * d(1)
  const { valuesW } = filterPower(record, 3, [1, 2, 3])
  expect(Array.from(valuesW)).toEqual([first, second, third].map((watts) => expect.closeTo(watts, 12)))
})

it('has the derivative by ln tau that differences have', () => {
  const chosen = [0, 2, 3]
  const { slopesW } = filterPower(record, 3, chosen)
  const step = 1e-5
  const above = filterPower(record, 3 * Math.exp(step), chosen).valuesW
  const below = filterPower(record, 3 * Math.exp(-step), chosen).valuesW
  slopesW.forEach((slope, k) => {
    expect(slope).toBeCloseTo((above[k]! - below[k]!) / (2 * step), 6)
  })
})
