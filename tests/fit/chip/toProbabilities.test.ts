import { expect, it } from 'vitest'
import { toProbabilities } from '../../../src/fit/chip/toProbabilities.js'

it('logs of weights become shares of 1, whatever their common factor', () => {
  const logs = [0, Math.log(3), Math.log(4)]
  for (const more of [0, 800, -800]) {
    const shares = toProbabilities(Float64Array.from(logs, (log) => log + more))
    expect(Array.from(shares)).toEqual([1 / 8, 3 / 8, 4 / 8].map((share) => expect.closeTo(share, 12)))
  }
})

it('what is impossible or far below is 0', () => {
  const shares = toProbabilities(Float64Array.of(0, Number.NEGATIVE_INFINITY, -50, Number.NaN, -49))
  expect([shares[1], shares[2], shares[3]]).toEqual([0, 0, 0])
  expect(shares[4]).toBeCloseTo(Math.exp(-49), 30)
})

it('nothing that is possible is bad input', () => {
  const none = () => toProbabilities(Float64Array.of(Number.NEGATIVE_INFINITY, Number.NaN))
  expect(none).toThrow(expect.objectContaining({ code: 'scores-unexplained' }))
})
