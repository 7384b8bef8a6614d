import { describe, expect, it } from 'vitest'
import { drawReview, logSpeed, REVIEW_DRAWS } from '../../../src/predict/review/reviewDraws.js'
import { reviewedMachine, reviewedTest } from './reviewFixture.js'

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
const spread = (values: readonly number[]) => {
  const middle = sum(values) / values.length
  return Math.sqrt(sum(values.map((value) => (value - middle) ** 2)) / values.length)
}
const exactly = { value: 0.004, low: 0.004, high: 0.004, level: 0.9 }

describe('draws of a test’s speed', () => {
  it('scatter about ln of the mean score as runs do, by the root of their number', () => {
    const machine = reviewedMachine('a', [reviewedTest({ scores: [99, 100, 101], scatter: exactly })])
    const [test] = machine.tests
    const logs = drawReview([machine]).logSpeeds(test!, test!.all)
    expect(logs).toHaveLength(REVIEW_DRAWS)
    expect(sum(logs) / logs.length).toBeCloseTo(Math.log(100), 4)
    expect(spread(logs)).toBeCloseTo(0.004 / Math.sqrt(3), 4)
    const counted = { ...test!.all, counts: [4, 4, 4] }
    expect(spread(drawReview([machine]).logSpeeds(test!, counted))).toBeCloseTo(0.004 / Math.sqrt(12), 4)
  })

  it('are wider where the scatter itself is not known', () => {
    const machine = reviewedMachine('a', [
      reviewedTest({ scores: [100], scatter: { value: 0.004, low: 0.004, high: 0.02, level: 0.9 } }),
    ])
    const [test] = machine.tests
    const logs = drawReview([machine]).logSpeeds(test!, test!.all)
    // exp(1.609 y / 1.645) times as wide where y > 0, as wide as usual else: E[z² d²] = 0.004² (1/2 + exp(2 c²) Φ(2 c)), c = ln 5 / 1.645.
    const c = Math.log(5) / 1.644854
    const wanted = 0.004 * Math.sqrt(0.5 + Math.exp(2 * c * c) * 0.9748)
    expect(spread(logs) / wanted).toBeGreaterThan(0.75)
    expect(spread(logs) / wanted).toBeLessThan(1.25)
  })

  it('of two tests are independent', () => {
    const machine = reviewedMachine('a', [reviewedTest(), reviewedTest({ task: 'encode' })])
    const draws = drawReview([machine])
    const [one, two] = machine.tests.map((test) => draws.logSpeeds(test, test.all))
    const [a, b] = [one!, two!].map((values) => values.map((value) => value - sum(values) / values.length))
    expect(
      Math.abs(sum(a!.map((value, k) => value * b![k]!)) / (480 * spread(one!) * spread(two!))),
    ).toBeLessThan(0.12)
  })
})

it('the speed of a time is its inverse', () => {
  expect(logSpeed(reviewedTest(), { scores: [90, 110] })).toBeCloseTo(Math.log(100), 9)
  const timed = reviewedTest({ workload: { name: 'build', score: 's', better: 'lower' } })
  expect(logSpeed(timed, { scores: [50] })).toBeCloseTo(-Math.log(50), 9)
})

describe('the curves of a chip', () => {
  const review = () => {
    const machines = ['a', 'b'].map((name) =>
      reviewedMachine(name, [reviewedTest(), reviewedTest({ task: 'encode' })]),
    )
    const [a, b] = machines.map(({ tests }) => tests.map(({ chip }) => chip!))
    return { draws: drawReview(machines), a: a!, b: b! }
  }

  it('are each taken as often', () => {
    const { draws, a } = review()
    const counts = new Map<number, number>()
    for (const k of draws.curves(a[0]!)) counts.set(k, (counts.get(k) ?? 0) + 1)
    expect(counts.size).toBe(41)
    for (const count of counts.values()) expect(Math.abs(count - REVIEW_DRAWS / 41)).toBeLessThan(1)
  })

  it('stand in the same place of their order in every workload of the chip, and in another of another chip', () => {
    const { draws, a, b } = review()
    expect(draws.curves(a[0]!)).toEqual(draws.curves(a[1]!))
    expect(draws.curves(a[0]!)).not.toEqual(draws.curves(b[0]!))
    expect(draws.curves(a[0]!)).toBe(draws.curves(a[0]!))
  })

  it('are ordered by their elasticity', () => {
    const { draws, a } = review()
    const chip = { ...a[0]!, draws: [...a[0]!.draws].reverse() }
    expect(draws.curves(chip)).toEqual(draws.curves(a[0]!).map((k) => 40 - k))
  })
})
