import { describe, expect, it } from 'vitest'
import { scoreScatter } from '../../../src/fit/chip/scoreScatter.js'
import { missesOfForms, type SimpleForm } from '../../../src/fit/chip/simpleForms.js'

const POWERS = [20, 35, 50, 65, 80, 95]
const levelsOf = (rateAt: (watts: number) => number) =>
  POWERS.map((powerW) => ({ powerW, rate: rateAt(powerW) }))
const missesOf = (form: SimpleForm, rateAt: (watts: number) => number, leftOut = [0, 2, 5]) =>
  missesOfForms(levelsOf(rateAt), leftOut).get(form)!

describe('a simple form', () => {
  it.each([
    ['straight line', (w: number) => 10 + 2 * w],
    ['power law', (w: number) => 3 * w ** 0.6],
    ['exponential', (w: number) => 20 * Math.exp(w / 70)],
    ['parabola', (w: number) => 5 + 3 * w - 0.01 * w * w],
    ['robust line', (w: number) => 10 + 2 * w],
  ] as const)('foretells levels of its own kind that were left out: %s', (form, rateAt) => {
    for (const miss of missesOf(form, rateAt)) expect(miss).toBeCloseTo(0, 6)
  })

  it('is off by ln of what it foretells over what was measured', () => {
    // A line through 35 to 95 W of 100 sqrt(W / 60), by hand: 64.42 at 20 W where 57.74 was measured.
    const rates = POWERS.map((w) => 100 * Math.sqrt(w / 60)).slice(1)
    const rest = POWERS.slice(1)
    const slope =
      rest.reduce((sum, w, k) => sum + (w - 65) * rates[k]!, 0) /
      rest.reduce((sum, w) => sum + (w - 65) ** 2, 0)
    const told = rates.reduce((sum, rate) => sum + rate, 0) / 5 + slope * (20 - 65)
    const [miss] = missesOf('straight line', (w) => 100 * Math.sqrt(w / 60), [0])
    expect(miss).toBeCloseTo(Math.log(told / (100 * Math.sqrt(20 / 60))), 9)
    expect(miss).toBeGreaterThan(0.05)
  })

  it('of medians is not moved by one level that is off', () => {
    const rateAt = (w: number) => (w === 50 ? 300 : 10 + 2 * w)
    const [robust] = missesOf('robust line', rateAt, [5])
    const [straight] = missesOf('straight line', rateAt, [5])
    expect(Math.abs(robust!)).toBeLessThan(0.1)
    expect(Math.abs(straight!)).toBeGreaterThan(Math.abs(robust!) + 0.1)
  })

  it('that foretells less than nothing is off by a hundred times', () => {
    const [miss] = missesOf('straight line', (w) => (w < 30 ? 1 : 4 * (w - 34)), [0])
    expect(miss).toBe(Math.log(0.01))
  })
})

describe('scatter of a run’s score', () => {
  it('is what runs have in general where one score tells none', () => {
    const { value, low, high, level } = scoreScatter([61])
    expect(value).toBeCloseTo(0.004, 3)
    // 0.8 in the logarithm on either side, 1.645 times.
    expect(Math.log(high / value)).toBeCloseTo(0.8 * 1.645, 0)
    expect(Math.log(value / low)).toBeCloseTo(0.8 * 1.645, 0)
    expect(level).toBe(0.9)
  })

  it('is that of many scores', () => {
    const scores = Array.from({ length: 60 }, (_, k) => 100 * (1 + 0.015 * (k % 2 === 0 ? 1 : -1)))
    const { value, low, high } = scoreScatter(scores)
    // Levels of the scatter are a third apart.
    expect(Math.abs(value / 0.015 - 1)).toBeLessThan(0.15)
    expect(low).toBeLessThan(0.015)
    expect(high).toBeGreaterThan(0.015)
    expect(high / low).toBeLessThan(2.5)
    expect(scoreScatter(scores.map((score) => 7 * score)).value).toBeCloseTo(value, 9)
  })

  it('of means of four runs is twice theirs', () => {
    const scores = Array.from({ length: 60 }, (_, k) => 100 * (1 + 0.008 * (k % 2 === 0 ? 1 : -1)))
    const counts = scores.map(() => 4)
    expect(Math.abs(scoreScatter(scores, counts).value / 0.016 - 1)).toBeLessThan(0.15)
    // A mean of many tells the middle: the one beside it is off by all of their difference.
    expect(scoreScatter([100, 102], [1000, 1]).value).toBeGreaterThan(scoreScatter([100, 102]).value)
    expect(
      scoreScatter(
        scores,
        scores.map(() => 1),
      ),
    ).toEqual(scoreScatter(scores))
  })
})
