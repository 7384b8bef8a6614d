import { expect, it } from 'vitest'
import { fitLeastSquares } from '../../../src/numeric/leastSquares/fitLeastSquares.js'
import { profileInterval } from '../../../src/numeric/leastSquares/profileInterval.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { studentTQuantile } from '../../../src/numeric/statistics/studentT.js'

const times = Array.from({ length: 15 }, (_, i) => 4 * i)

function decay(seed: number, noise = 1.5): readonly number[] {
  const random = seededRandom(seed)
  return times.map((t) => 40 + 20 * Math.exp(-t / 20) + noise * random.normal())
}

it("equals Student's interval when the model is a straight line", () => {
  const values = [1.1, 1.9, 3.2, 3.8, 5.3]
  const problem = {
    residuals: ([a, b]: readonly number[]) => values.map((y, i) => y - a! - b! * i),
    start: [0, 1],
  }
  const fit = fitLeastSquares(problem)
  const half = studentTQuantile(0.95, 3) * fit.standardErrors![1]!
  const interval = profileInterval({ problem, fit, parameter: 1 })!
  expect(interval.low).toBeCloseTo(fit.parameters[1]! - half, 6)
  expect(interval.high).toBeCloseTo(fit.parameters[1]! + half, 6)
})

it("equals Student's interval for each parameter of a parabola, at any level", () => {
  const values = [4.1, 1.2, -0.4, 0.7, 4.4, 9.2, 15.8]
  const problem = {
    residuals: ([a, b, c]: readonly number[]) =>
      values.map((y, i) => y - a! - b! * (i - 2) - c! * (i - 2) ** 2),
    start: [1, 1, 1],
    lower: [-50, -60, -70],
    upper: [50, 60, 70],
  }
  const fit = fitLeastSquares(problem)
  for (const parameter of [0, 1, 2]) {
    for (const level of [0.5, 0.95]) {
      const half = studentTQuantile((1 + level) / 2, 4) * fit.standardErrors![parameter]!
      const interval = profileInterval({ problem, fit, parameter, level })!
      expect(interval.level).toBe(level)
      expect(interval.low).toBeCloseTo(fit.parameters[parameter]! - half, 5)
      expect(interval.high).toBeCloseTo(fit.parameters[parameter]! + half, 5)
    }
  }
})

it('is a point where nothing is left over, and none without a degree of freedom or an end of the fit', () => {
  const exact = { residuals: ([a]: readonly number[]) => [2 * a! - 6, a! - 3], start: [1] }
  const fit = fitLeastSquares(exact)
  expect(fit.residualSumOfSquares).toBe(0)
  expect(profileInterval({ problem: exact, fit, parameter: 0 })).toEqual({
    value: 3,
    low: 3,
    high: 3,
    level: 0.9,
  })
  const full = { residuals: ([a]: readonly number[]) => [a! - 3], start: [1] }
  expect(profileInterval({ problem: full, fit: fitLeastSquares(full), parameter: 0 })).toBeUndefined()
  const noisy = { residuals: ([a]: readonly number[]) => [a! - 3, a! - 4], start: [1] }
  const open = { ...fitLeastSquares(noisy), converged: false }
  expect(profileInterval({ problem: noisy, fit: open, parameter: 0 })).toBeUndefined()
})

it('ends where residuals have no value', () => {
  const problem = {
    residuals: ([a]: readonly number[]) => [2, 3, 4].map((y) => (a! > 3.25 ? Number.NaN : y - a!)),
    start: [2.5],
  }
  const interval = profileInterval({ problem, fit: fitLeastSquares(problem), parameter: 0 })!
  expect(interval.high).toBeCloseTo(3.25, 5)
  // s / sqrt(3) times t with two degrees of freedom.
  expect(interval.low).toBeCloseTo(3 - studentTQuantile(0.95, 2) / Math.sqrt(3), 5)
})

it('does not depend on how the model is written: time constant, rate and logarithm have the same edges', () => {
  const values = decay(3)
  const edges = (tauOf: (q: number) => number, q: number): readonly number[] => {
    const problem = {
      residuals: ([a, b, c]: readonly number[]) =>
        times.map((t, i) => values[i]! - a! - b! * Math.exp(-t / tauOf(c!))),
      start: [38, 18, q],
    }
    const fit = fitLeastSquares(problem)
    const interval = profileInterval({ problem, fit, parameter: 2 })!
    return [tauOf(interval.low), tauOf(interval.high)].sort((x, y) => x - y)
  }
  const [low, high] = edges((q) => q, 15)
  for (const [otherLow, otherHigh] of [edges((q) => 1 / q, 1 / 15), edges(Math.exp, Math.log(15))]) {
    expect(otherLow! / low!).toBeCloseTo(1, 4)
    expect(otherHigh! / high!).toBeCloseTo(1, 4)
  }
})

it('is longer on the side where a time constant is badly determined', () => {
  const values = decay(4)
  const problem = {
    residuals: ([a, b, tau]: readonly number[]) =>
      times.map((t, i) => values[i]! - a! - b! * Math.exp(-t / tau!)),
    start: [38, 18, 15],
  }
  const fit = fitLeastSquares(problem)
  const interval = profileInterval({ problem, fit, parameter: 2 })!
  expect(interval.high - interval.value).toBeGreaterThan(1.2 * (interval.value - interval.low))
})

it('covers the true time constant of short noisy decays in 90 % of cases', () => {
  let held = 0
  let counted = 0
  for (let seed = 0; seed < 200; seed++) {
    const values = decay(100 + seed)
    const problem = {
      residuals: ([a, b, tau]: readonly number[]) =>
        times.map((t, i) => values[i]! - a! - b! * Math.exp(-t / tau!)),
      start: [38, 18, 15],
      lower: [-1000, -1000, 0.5],
      upper: [1000, 1000, 2000],
    }
    const fit = fitLeastSquares(problem)
    const interval = profileInterval({ problem, fit, parameter: 2 })
    if (!interval) continue
    counted++
    if (interval.low <= 20 && interval.high >= 20) held++
  }
  expect(counted).toBeGreaterThan(190)
  expect(Math.abs(held / counted - 0.9)).toBeLessThan(4 * Math.sqrt(0.09 / counted))
})

it('ends at a bound, or is open, on a side where no value is ruled out', () => {
  const random = seededRandom(8)
  const values = times.map((t) => 40 - 0.05 * t + 0.5 * random.normal())
  const problem = {
    residuals: ([a, drop, rate]: readonly number[]) =>
      times.map((t, i) => values[i]! - a! - drop! * Math.exp(-t * rate!)),
    start: [30, 10, 0.01],
    lower: [-1e6, -1e6, 1e-6],
    upper: [1e6, 1e6, 10],
  }
  const fit = fitLeastSquares(problem)
  const interval = profileInterval({ problem, fit, parameter: 2 })
  if (fit.converged) expect(interval!.low).toBe(1e-6)
  else expect(interval).toBeUndefined()
})

it('refuses a parameter that the fit does not have', () => {
  const problem = { residuals: ([a]: readonly number[]) => [a! - 1, a! - 2], start: [0] }
  expect(() => profileInterval({ problem, fit: fitLeastSquares(problem), parameter: 1 })).toThrow(
    'expected an index from 0 to 0, got 1',
  )
})

it('refits when the other parameters are all held by their bounds, and when there are none', () => {
  const values = [4.1, 3.9, 4.2, 3.8]
  const held = {
    // The slope wants to be negative and the curvature too: both stay at 0.
    residuals: ([level, slope, bend]: readonly number[]) =>
      values.map((y, i) => y - level! - slope! * (i + 5) ** 2 - bend! * (i + 5) ** 3),
    start: [4, 0, 0],
    lower: [-10, 0, 0],
    upper: [10, 1, 1],
  }
  const alone = { residuals: ([level]: readonly number[]) => values.map((y) => y - level!), start: [4] }
  const fit = fitLeastSquares(held)
  expect(fit.atBound).toEqual([1, 2])
  const interval = profileInterval({ problem: held, fit, parameter: 0 })!
  const free = profileInterval({ problem: alone, fit: fitLeastSquares(alone), parameter: 0 })!
  expect(interval.value).toBeCloseTo(4, 9)
  // Above the mean the others stay at 0; the degrees of freedom differ, and below the mean they help.
  const half = studentTQuantile(0.95, 1) * Math.sqrt(0.1 / 1 / 4)
  expect(interval.high).toBeCloseTo(4 + half, 5)
  expect(free.high).toBeCloseTo(4 + studentTQuantile(0.95, 3) * Math.sqrt(0.1 / 3 / 4), 5)
})
