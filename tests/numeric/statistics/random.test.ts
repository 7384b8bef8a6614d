import { mersenne } from 'pure-rand/generator/mersenne'
import { expect, it } from 'vitest'
import { mean, standardDeviation } from '../../../src/numeric/statistics/moments.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

it('the generator is the published Mersenne Twister', () => {
  // ISO C++ standard, [rand.predef]: the 10000th number of mt19937 with its default seed 5489 is 4123659995.
  const generator = mersenne(5489)
  for (let i = 1; i < 10_000; i++) generator.next()
  expect(generator.next() >>> 0).toBe(4123659995)
})

it('the same seed gives the same numbers, another seed gives others', () => {
  const draw = (seed: number): readonly number[] => {
    const random = seededRandom(seed)
    return [random.uniform(), random.normal(), random.normal(), random.integer(1000)]
  }
  expect(draw(4)).toEqual(draw(4))
  expect(draw(4)).not.toEqual(draw(5))
})

it('normal numbers have mean 0, standard deviation 1 and the share within 1.96 that tables give', () => {
  const random = seededRandom(11)
  const values = Float64Array.from({ length: 200_000 }, () => random.normal())
  // Bounds are five standard errors.
  expect(Math.abs(mean(values)!)).toBeLessThan(5 / Math.sqrt(values.length))
  expect(Math.abs(standardDeviation(values)! - 1)).toBeLessThan(5 / Math.sqrt(2 * values.length))
  const inside = values.filter((value) => Math.abs(value) < 1.959964).length / values.length
  expect(Math.abs(inside - 0.95)).toBeLessThan(5 * Math.sqrt((0.95 * 0.05) / values.length))
})

it('whole numbers below a bound are all reached and equally likely', () => {
  const random = seededRandom(2)
  const counts = [0, 0, 0, 0, 0]
  for (let i = 0; i < 50_000; i++) counts[random.integer(5)]!++
  for (const count of counts) expect(Math.abs(count - 10_000)).toBeLessThan(5 * Math.sqrt(8_000))
})

it('normal numbers are both of a pair of the polar method', () => {
  const uniform = seededRandom(4).uniform
  const random = seededRandom(4)
  for (let pair = 0; pair < 20; ) {
    const [x, y] = [2 * uniform() - 1, 2 * uniform() - 1]
    const square = x * x + y * y
    if (square >= 1) continue
    const factor = Math.sqrt((-2 * Math.log(square)) / square)
    expect([random.normal(), random.normal()]).toEqual([x * factor, y * factor])
    pair++
  }
})

it('refuses a seed that is not a whole number', () => {
  expect(() => seededRandom(1.5)).toThrow('A seed must be a whole number, got 1.5.')
  expect(() => seededRandom(1.5)).toThrow(expect.objectContaining({ code: 'seed-not-whole' }))
})
