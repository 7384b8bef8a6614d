import { array, assert as assertProperty, double, integer, property, tuple } from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../../src/errors.js'
import { fitLeastSquares } from '../../../src/numeric/leastSquares/fitLeastSquares.js'
import { linearLeastSquares } from '../../../src/numeric/leastSquares/linearLeastSquares.js'
import { nonNegativeLeastSquares } from '../../../src/numeric/leastSquares/nonNegativeLeastSquares.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'

const times = Array.from({ length: 60 }, (_, i) => 2 * i)

/** Decay 40 + 25 exp(-t/18) with noise 0.5. */
function noisyDecay(seed: number): readonly number[] {
  const random = seededRandom(seed)
  return times.map((t) => 40 + 25 * Math.exp(-t / 18) + 0.5 * random.normal())
}

function decayResiduals(values: readonly number[]): (p: readonly number[]) => number[] {
  return ([level, drop, tau]) => times.map((t, i) => values[i]! - level! - drop! * Math.exp(-t / tau!))
}

function decayJacobian([, drop, tau]: readonly number[]): number[][] {
  return times.map((t) => {
    const factor = Math.exp(-t / tau!)
    return [-1, -factor, (-drop! * factor * t) / tau! ** 2]
  })
}

describe('a nonlinear fit', () => {
  it('gives the same parameters with a Jacobian as without, to eight digits', () => {
    const residuals = decayResiduals(noisyDecay(1))
    const plain = fitLeastSquares({ residuals, start: [30, 10, 5] })
    const exact = fitLeastSquares({ residuals, start: [30, 10, 5], jacobian: decayJacobian })
    expect(plain.converged && exact.converged).toBe(true)
    for (const [j, value] of exact.parameters.entries()) {
      expect(Math.abs(plain.parameters[j]! / value - 1)).toBeLessThan(1e-8)
      expect(Math.abs(plain.standardErrors![j]! / exact.standardErrors![j]! - 1)).toBeLessThan(1e-7)
    }
    expect(exact.evaluations).toBeLessThan(plain.evaluations)
  })

  it('gives the very same fit from a Jacobian by columns as from one by rows', () => {
    const residuals = decayResiduals(noisyDecay(3))
    const jacobianColumns = (p: readonly number[]) => p.map((_, j) => decayJacobian(p).map((row) => row[j]!))
    const byRows = fitLeastSquares({ residuals, start: [30, 10, 5], jacobian: decayJacobian })
    expect(fitLeastSquares({ residuals, start: [30, 10, 5], jacobianColumns })).toEqual(byRows)
  })

  it('copies what the functions return, so that they may fill the same arrays again and again', () => {
    const values = noisyDecay(4)
    const fresh = decayResiduals(values)
    const room = new Float64Array(times.length)
    const residuals = (p: readonly number[]): Float64Array => {
      room.set(fresh(p))
      return room
    }
    const start = [30, 10, 5]
    expect(fitLeastSquares({ residuals, start })).toEqual(fitLeastSquares({ residuals: fresh, start }))
  })

  it('of a soft kink finds the minimum that a fit from there finds, too', () => {
    const kinkX = Array.from({ length: 60 }, (_, i) => i / 10)
    const y = kinkX.map((value) => 2 + 1.5 * Math.max(0, value - 2))
    const residuals = ([level, slope, kink]: readonly number[]) =>
      kinkX.map((value, i) => level! + slope! * Math.log1p(Math.exp(8 * (value - kink!))) * 0.125 - y[i]!)
    const fit = fitLeastSquares({ residuals, start: [1, 1, 0.5] })
    expect(fit.converged).toBe(true)
    const exact = fitLeastSquares({ residuals, start: fit.parameters, tolerance: 0 })
    for (const [j, value] of fit.parameters.entries()) expect(value).toBeCloseTo(exact.parameters[j]!, 8)
    expect(fit.parameters[2]).toBeCloseTo(2, 1)
  })

  it('does not call the end of a descent along a wrong Jacobian converged', () => {
    const residuals = decayResiduals(noisyDecay(2))
    const jacobian = ([, drop, tau]: readonly number[]): number[][] =>
      times.map((t) => [-1, -Math.exp(-t / tau!), (drop! * Math.exp(-t / tau!) * t) / tau!])
    expect(fitLeastSquares({ residuals, start: [40, 25, 18], jacobian }).converged).toBe(false)
  })

  it('agrees with the linear fit on a straight line: values, errors, covariance and the published example', () => {
    // JCGM 100:2008, H.3, calibration of a thermometer: -0.1712 (0.0029), 0.00218 (0.00067), r -0.930, s 0.0035.
    const readings = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
    const corrections = [
      -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16,
    ]
    const design = readings.map((t) => [1, t - 20])
    const linear = linearLeastSquares({ design, values: corrections })
    const curved = fitLeastSquares({
      residuals: ([a, b]) => design.map(([, x], i) => corrections[i]! - a! - b! * x!),
      start: [0, 0],
    })
    for (const fit of [linear, curved]) {
      const [[aa, ab], [, bb]] = fit.covariance as [[number, number], [number, number]]
      expect(fit.parameters[0]).toBeCloseTo(-0.1712, 4)
      expect(fit.parameters[1]).toBeCloseTo(0.00218, 5)
      expect(fit.standardErrors![0]).toBeCloseTo(0.0029, 4)
      expect(fit.standardErrors![1]).toBeCloseTo(0.00067, 5)
      expect(ab / Math.sqrt(aa * bb)).toBeCloseTo(-0.93, 3)
      expect(Math.sqrt(fit.residualSumOfSquares / fit.degreesOfFreedom)).toBeCloseTo(0.0035, 4)
      // Extrapolated to 30 degrees: -0.1494 with standard uncertainty 0.0041.
      expect(fit.parameters[0]! + 10 * fit.parameters[1]!).toBeCloseTo(-0.1494, 4)
      expect(Math.sqrt(aa + 20 * ab + 100 * bb)).toBeCloseTo(0.0041, 4)
    }
  })

  it('finds a parameter whose true value is 0 and one that starts at 0', () => {
    const x = [-2, -1, 0, 1, 2]
    const noise = [0.01, -0.02, 0.02, -0.01, 0]
    const fit = fitLeastSquares({
      residuals: ([a, b]) => x.map((value, i) => noise[i]! + 3 * value - a! - b! * value),
      start: [1, 0],
    })
    expect(fit.converged).toBe(true)
    expect(fit.parameters[0]).toBeCloseTo(0, 10)
    expect(fit.parameters[1]).toBeCloseTo(2.999, 10)
  })

  it('reports standard errors as undefined, and no convergence, when the data cannot tell two parameters apart', () => {
    const fit = fitLeastSquares({
      residuals: ([a, b]) => times.map((t) => 12 * t - a! * b! * t),
      start: [2, 3],
    })
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.covariance).toBeUndefined()
    expect(fit.converged).toBe(false)
    expect(fit.residualSumOfSquares).toBeLessThan(1e-15)
  })

  it('leaves standard errors undefined when there are as many parameters as residuals', () => {
    const fit = fitLeastSquares({ residuals: ([a, b]) => [a! - 1, a! * b! - 6], start: [2, 2] })
    expect(fit.parameters[1]).toBeCloseTo(6, 10)
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.degreesOfFreedom).toBe(0)
    expect(fit.converged).toBe(true)
  })

  it('survives regions where the model has no value', () => {
    const fit = fitLeastSquares({
      residuals: ([a, power]) =>
        times.map((t) => 3 * Math.sqrt(t + 1) - a! * (t + 1) ** power! - 0 * Math.log(power!)),
      start: [1, 3],
    })
    expect(fit.parameters[0]).toBeCloseTo(3, 8)
    expect(fit.parameters[1]).toBeCloseTo(0.5, 8)
  })

  it('says so when a model has a value at the start and nowhere around it', () => {
    const fit = fitLeastSquares({
      residuals: ([a]) => times.map((t) => (a === 1 ? t : Number.NaN)),
      start: [1],
    })
    expect(fit.converged).toBe(false)
    expect(fit.reason).toBe('derivative-not-finite')
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.atBound).toEqual([])
  })

  it('covers the true time constant in 90 % of 600 noisy decays', () => {
    const limit = 1.672 // Student's t, 0.95, 57 degrees of freedom (handbook table, interpolated)
    let held = 0
    for (let seed = 0; seed < 600; seed++) {
      const fit = fitLeastSquares({ residuals: decayResiduals(noisyDecay(1000 + seed)), start: [35, 20, 10] })
      if (Math.abs(fit.parameters[2]! - 18) < limit * fit.standardErrors![2]!) held++
    }
    expect(Math.abs(held / 600 - 0.9)).toBeLessThan(4 * Math.sqrt(0.09 / 600))
  })
})

describe('a bounded fit', () => {
  const number = integer({ min: -200, max: 200 }).map((hundredths) => hundredths / 100)
  const problems = tuple(
    array(array(number, { minLength: 3, maxLength: 3 }), { minLength: 8, maxLength: 8 }),
    array(number, { minLength: 8, maxLength: 8 }),
  )

  it('with lower bounds of 0 equals the non-negative linear fit', () => {
    assertProperty(
      property(problems, ([design, values]) => {
        const exact = nonNegativeLeastSquares({ design, values })
        const residuals = (p: readonly number[]): number[] =>
          design.map((row, i) => values[i]! - row.reduce((sum, value, j) => sum + value * p[j]!, 0))
        const fit = fitLeastSquares({ residuals, start: [1, 1, 1], lower: [0, 0, 0] })
        const scale = values.reduce((sum, value) => sum + value * value, 0)
        expect(fit.parameters.every((value) => value >= 0)).toBe(true)
        expect(fit.residualSumOfSquares).toBeLessThanOrEqual(exact.residualSumOfSquares + 1e-9 * scale)
      }),
      { numRuns: 200 },
    )
  })

  it('never evaluates outside its bounds, not even for derivatives', () => {
    const bounds = tuple(
      double({ min: 0.05, max: 0.9, noNaN: true }),
      double({ min: 1, max: 30, noNaN: true }),
    )
    assertProperty(
      property(bounds, ([share, tauLow]) => {
        const inner = decayResiduals(noisyDecay(5))
        const lower = [0, 0, tauLow]
        const upper = [100, 50 * share + 1, tauLow + 10]
        const residuals = (p: readonly number[]): number[] => {
          for (const [j, value] of p.entries()) {
            expect(value).toBeGreaterThanOrEqual(lower[j]!)
            expect(value).toBeLessThanOrEqual(upper[j]!)
          }
          return inner(p)
        }
        fitLeastSquares({ residuals, start: [0, 1, tauLow + 10], lower, upper })
      }),
      { numRuns: 50 },
    )
  })

  it('names the parameters that a bound holds', () => {
    const residuals = decayResiduals(noisyDecay(6))
    const fit = fitLeastSquares({ residuals, start: [30, 10, 5], lower: [0, 0, 1], upper: [100, 100, 10] })
    expect(fit.converged).toBe(true)
    expect(fit.parameters[2]).toBe(10)
    expect(fit.atBound).toEqual([2])
  })

  it('ends at a corner where every parameter is pressed against a bound: nothing is left to factorise', () => {
    const x = [1, 2, 3, 4]
    const residuals = ([a, b]: readonly number[]): number[] => x.map((value) => -a! - b! * value - 10)
    for (const start of [
      [0, 0],
      [1, 2],
      [5, 5],
    ]) {
      const fit = fitLeastSquares({ residuals, start, lower: [0, 0], upper: [5, 5] })
      expect(fit).toMatchObject({ parameters: [0, 0], atBound: [0, 1], converged: true })
      expect(fit.residualSumOfSquares).toBe(400)
    }
  })
})

describe('a fit with a tolerance', () => {
  const x = Array.from({ length: 60 }, (_, i) => i / 10)
  const random = seededRandom(7)
  const y = x.map((at) => 5 * Math.exp(-at / 2) + random.normal())
  /** As a simulated loop does, it moves by small jumps, so that no step brings all that its derivatives foretell. */
  const jumpy = ([a, tau]: readonly number[]) =>
    x.map((at, i) => a! * Math.exp(-at / tau!) * (1 + 1e-4 * Math.sin(3e3 * (a! + tau! + at))) - y[i]!)

  it('ends where a failed step would have brought next to nothing, as near as its data can tell', () => {
    const exact = fitLeastSquares({
      residuals: ([a, tau]) => x.map((at, i) => a! * Math.exp(-at / tau!) - y[i]!),
      start: [3, 1],
    })
    const fit = fitLeastSquares({ residuals: jumpy, start: [3, 1], tolerance: 1e-2 })
    expect(fit.evaluations).toBeLessThan(80)
    expect(fit.converged).toBe(true)
    fit.parameters.forEach((value, j) => {
      expect(Math.abs(value - exact.parameters[j]!)).toBeLessThan(0.2 * exact.standardErrors![j]!)
    })
  })

  it('makes no new start after a descent that was still going', () => {
    const residuals = ([a, b]: readonly number[]) => [10 * (b! - a! * a!), 1 - a!, 0.1]
    const fit = fitLeastSquares({ residuals, start: [-1.2, 1], tolerance: 1e-2, maxEvaluations: 20 })
    expect(fit.reason).toBe('evaluation-limit')
    expect(fit.evaluations).toBeLessThan(20)
    const others = fitLeastSquares({ residuals, start: [-1.2, 1], maxEvaluations: 20 })
    expect(others.evaluations).toBeGreaterThanOrEqual(20)
  })
})

describe('what comes with a fit', () => {
  const x = [1, 2, 3, 4]
  const y = [1.1, 1.9, 3.2, 3.9]
  const line = ([a]: readonly number[]) => x.map((value, i) => y[i]! - a! * value)

  it('is how often residuals were asked for', () => {
    let calls = 0
    const residuals = (p: readonly number[]) => {
      calls++
      return line(p)
    }
    expect(fitLeastSquares({ residuals, start: [3] }).evaluations).toBe(calls)
  })

  it('is that a Jacobian, by rows or columns, is wrong, though the descent along it ended at the minimum', () => {
    const exact = x.map((value) => -value)
    const by = (factor: number) => [
      { jacobian: () => exact.map((slope) => [factor * slope]) },
      { jacobianColumns: () => [exact.map((slope) => factor * slope)] },
    ]
    for (const given of by(1.05)) {
      const fit = fitLeastSquares({ residuals: line, start: [3], ...given })
      expect(fit).toMatchObject({ converged: false, reason: 'jacobian-wrong' })
      expect(fit.parameters[0]).toBeCloseTo(30.1 / 30, 6)
    }
    for (const given of by(1))
      expect(fitLeastSquares({ residuals: line, start: [3], ...given }).converged).toBe(true)
  })

  it('are no standard errors where a parameter does nothing', () => {
    const fit = fitLeastSquares({ residuals: ([a]) => line([a!]), start: [3, 5] })
    expect(fit.standardErrors).toBeUndefined()
    expect(fit.parameters[0]).toBeCloseTo(30.1 / 30, 6)
  })

  it('are standard errors over all parameters, also those at a bound', () => {
    const residuals = ([a, b]: readonly number[]) => x.map((value, i) => y[i]! - a! - b! * value)
    const free = fitLeastSquares({ residuals, start: [0, 1] })
    const held = fitLeastSquares({ residuals, start: [0.2, 1], lower: [0.1, -9], upper: [9, 9] })
    expect(held.atBound).toEqual([0])
    // The same design: they differ by the scatter alone.
    const scatter = Math.sqrt(held.residualSumOfSquares / free.residualSumOfSquares)
    for (const [j, error] of held.standardErrors!.entries())
      expect(error / free.standardErrors![j]!).toBeCloseTo(scatter, 6)
  })

  it('is a first step no longer than was asked for, as a share of the start', () => {
    for (const firstRadius of [0.01, 0.2]) {
      const asked: number[] = []
      const residuals = ([a]: readonly number[]) => {
        asked.push(a!)
        return line([a!])
      }
      fitLeastSquares({ residuals, start: [50], firstRadius })
      // After the start and the step of a derivative.
      expect((50 - asked[2]!) / 50 / firstRadius).toBeCloseTo(1, 2)
    }
  })
})

describe('bad input', () => {
  const residuals = ([a]: readonly number[]): number[] => [a! - 1, a! - 2]
  it('is refused with a code: starts, bounds, residuals and Jacobians', () => {
    const code = (run: () => unknown): string | undefined => {
      try {
        run()
      } catch (error) {
        return error instanceof InputError ? error.code : String(error)
      }
      return undefined
    }
    let calls = 0
    const growing = () => new Array<number>(2 + calls++).fill(1)
    expect(() => fitLeastSquares({ residuals: growing, start: [0] })).toThrow(
      'expected 2 residuals from every call, got 3',
    )
    expect(() => fitLeastSquares({ residuals, start: [1, Number.NaN] })).toThrow(
      /finite numbers, got \[1, NaN\]/,
    )
    expect(() => fitLeastSquares({ residuals, start: [3], lower: [0], upper: [2] })).toThrow(
      'got lower [0], start [3], upper [2]',
    )
    expect(code(() => fitLeastSquares({ residuals, start: [0], upper: [1, 1] }))).toBe('bounds-unusable')
    const second = { residuals, start: [0, 3], lower: [0, 0], upper: [1, 1] }
    expect(code(() => fitLeastSquares(second))).toBe('bounds-unusable')
    expect(() => fitLeastSquares({ residuals: () => [1, Number.NaN, Number.NaN], start: [0] })).toThrow(
      'got 3, of which 2 not finite',
    )
    expect(code(() => fitLeastSquares({ residuals, start: [] }))).toBe('start-unusable')
    expect(code(() => fitLeastSquares({ residuals, start: [Number.NaN] }))).toBe('start-unusable')
    expect(code(() => fitLeastSquares({ residuals, start: [0], lower: [1] }))).toBe('bounds-unusable')
    expect(code(() => fitLeastSquares({ residuals, start: [0], lower: [0, 0] }))).toBe('bounds-unusable')
    expect(code(() => fitLeastSquares({ residuals, start: [0], lower: [0], upper: [0] }))).toBe(
      'bounds-unusable',
    )
    expect(code(() => fitLeastSquares({ residuals, start: [0, 0, 0] }))).toBe('residuals-unusable')
    expect(code(() => fitLeastSquares({ residuals: () => [Number.NaN], start: [0] }))).toBe(
      'residuals-unusable',
    )
    expect(code(() => fitLeastSquares({ residuals, start: [0], jacobian: () => [[1]] }))).toBe(
      'jacobian-shape',
    )
    expect(code(() => fitLeastSquares({ residuals, start: [0], jacobianColumns: () => [[1]] }))).toBe(
      'jacobian-shape',
    )
  })
})
