import { expect, it } from 'vitest'
import { pairDraws } from '../../../src/predict/comparison/pairDraws.js'
import { powerLawChip } from '../fixtures.js'

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
const [a, b, c] = [powerLawChip(), powerLawChip({}, 0.6), powerLawChip({}, 0.7)]

it('every draw is met as often as it weighs', () => {
  const heavy = { ...a, draws: [0.5, 0.3, 0.2].map((weight, k) => ({ ...a.draws[k]!, weight })) }
  const pairs = pairDraws([heavy, b])
  expect(sum(pairs.map(({ weight }) => weight))).toBeCloseTo(1, 9)
  for (const [k, { weight }] of heavy.draws.entries()) {
    const share = sum(pairs.filter(({ draws }) => draws[0] === k).map((pair) => pair.weight))
    expect(share).toBeCloseTo(weight, 3)
  }
})

it('draws of different chips know nothing of each other', () => {
  const pairs = pairDraws([a, b, c])
  const centred = (k: number) => pairs.map(({ draws }) => draws[k]! - 20)
  for (const [i, j] of [
    [0, 1],
    [0, 2],
    [1, 2],
  ] as const) {
    const [one, two] = [centred(i), centred(j)]
    const correlation =
      sum(one.map((value, k) => value * two[k]!)) /
      Math.sqrt(sum(one.map((value) => value ** 2)) * sum(two.map((value) => value ** 2)))
    expect(Math.abs(correlation)).toBeLessThan(0.02)
  }
})

it('a chip that appears twice has one draw for both', () => {
  expect(pairDraws([a, b, a]).every(({ draws }) => draws[0] === draws[2])).toBe(true)
})

it('weights that fall short of 1 by rounding leave no place without a draw', () => {
  const short = { ...a, draws: a.draws.map((draw) => ({ ...draw, weight: draw.weight * 0.999 })) }
  expect(pairDraws([short]).every(({ draws }) => draws[0]! >= 0 && draws[0]! < 41)).toBe(true)
})
