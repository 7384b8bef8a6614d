import { expect, it } from 'vitest'
import { toProbabilities } from '../../../src/fit/chip/toProbabilities.js'

const even = (count: number) => new Float64Array(count)
const close = (values: readonly number[]) => values.map((value) => expect.closeTo(value, 12))

it('logs of weights become shares of 1, whatever their common factor', () => {
  const logs = [0, Math.log(3), Math.log(4)]
  for (const more of [0, 800, -800]) {
    const { probabilities } = toProbabilities(
      Float64Array.from(logs, (log) => log + more),
      even(3),
    )
    expect(Array.from(probabilities)).toEqual(close([1 / 8, 3 / 8, 4 / 8]))
  }
})

it('a prior weighs all levels of its candidate, whose share is their sum', () => {
  const logs = Float64Array.from([1, 2, 3, 4], Math.log)
  const { probabilities, shares } = toProbabilities(logs, Float64Array.of(Math.log(2), 0))
  expect(Array.from(probabilities)).toEqual(close([2 / 13, 4 / 13, 3 / 13, 4 / 13]))
  expect(Array.from(shares)).toEqual(close([6 / 13, 7 / 13]))
})

it('what is impossible or far below is 0', () => {
  const logs = Float64Array.of(0, Number.NEGATIVE_INFINITY, -50, Number.NaN, -49)
  const { probabilities } = toProbabilities(logs, even(5))
  expect([probabilities[1], probabilities[2], probabilities[3]]).toEqual([0, 0, 0])
  expect(probabilities[4]).toBeCloseTo(Math.exp(-49), 30)
})

it('nothing that is possible is bad input', () => {
  const none = () => toProbabilities(Float64Array.of(Number.NEGATIVE_INFINITY, Number.NaN), even(2))
  expect(none).toThrow(expect.objectContaining({ code: 'scores-unexplained' }))
})
