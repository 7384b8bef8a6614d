import { describe, expect, it } from 'vitest'
import type { PacedSamples } from '../../../src/fit/rate/pacedSamples.js'
import { rateChangesAlike, rateResiduals } from '../../../src/fit/rate/rateResiduals.js'
import type { Trace } from '../../../src/log/trace.js'
import { traceOf } from '../../segment/makeSteps.js'

/** A log of a sample a second, the first at 0 s. */
function logOf(powers: readonly number[], everyS = 1): Trace {
  return traceOf(
    Float64Array.from(powers, (_, i) => i * everyS),
    Float64Array.from(powers),
  )
}

/** A pace at some times, by its logarithm. */
function pace(timesS: readonly number[], logRateAt: (timeS: number) => number, stepS = 1): PacedSamples {
  return {
    timesS: Float64Array.from(timesS),
    logRates: Float64Array.from(timesS, logRateAt),
    stepS,
  } as unknown as PacedSamples
}

const count = 40
const seconds = Array.from({ length: count }, (_, i) => i)
/** Power that goes up and down unevenly, 30 to 70 W. */
const powers = seconds.map((i) => 50 + 12 * Math.sin(i) + 8 * Math.sin(0.37 * i * i))

describe('what a parabola over power leaves of a pace', () => {
  it('is nothing of a pace that is one', () => {
    const curve = (i: number) => 2 + 0.6 * Math.log(powers[i]! / 50) - 0.2 * Math.log(powers[i]! / 50) ** 2
    const left = rateResiduals(pace(seconds.slice(1), curve), logOf(powers), 0)!
    expect(left.residuals).toHaveLength(count - 1)
    expect(left.meanSquare).toBeLessThan(1e-20)
  })

  it('is nothing of one that comes later, if the power of so much earlier is taken', () => {
    const late = pace(seconds.slice(4), (s) => 0.6 * Math.log(powers[s - 3]!))
    expect(rateResiduals(late, logOf(powers), 3)!.meanSquare).toBeLessThan(1e-20)
    expect(rateResiduals(late, logOf(powers), 0)!.meanSquare).toBeGreaterThan(1e-3)
    const early = pace(seconds.slice(1, -3), (s) => 0.6 * Math.log(powers[s + 3]!))
    expect(rateResiduals(early, logOf(powers), -3)!.meanSquare).toBeLessThan(1e-20)
  })

  it('is the mean square of its residuals, whose mean is 0', () => {
    const rough = pace(seconds.slice(1), (s) => Math.log(powers[s]!) + (s % 2 === 0 ? 0.05 : -0.05))
    const { residuals, meanSquare } = rateResiduals(rough, logOf(powers), 0)!
    expect(residuals.reduce((sum, residual) => sum + residual, 0)).toBeCloseTo(0, 10)
    expect(meanSquare).toBeCloseTo(
      residuals.reduce((sum, residual) => sum + residual ** 2, 0) / (count - 1),
      12,
    )
    expect(meanSquare / 0.05 ** 2).toBeGreaterThan(0.7)
    expect(meanSquare / 0.05 ** 2).toBeLessThanOrEqual(1)
  })

  it('takes the mean power of the sample’s interval, or of the log’s where that is longer', () => {
    const mean2 = (s: number) => Math.log((powers[s]! + powers[s - 1]!) / 2)
    const paced = pace(seconds.slice(2), mean2, 2)
    expect(rateResiduals(paced, logOf(powers), 0)!.meanSquare).toBeLessThan(1e-20)
    const coarse = logOf(powers, 2)
    const each = pace(
      seconds.slice(1).map((i) => 2 * i),
      (s) => Math.log(powers[s / 2]!),
      1,
    )
    expect(rateResiduals(each, coarse, 0)!.meanSquare).toBeLessThan(1e-20)
    // Between two samples of the log by the share of each.
    const between = pace(
      seconds.slice(2).map((i) => i - 0.25),
      (s) => Math.log(0.75 * powers[s + 0.25]! + 0.25 * powers[s - 0.75]!),
    )
    expect(rateResiduals(between, logOf(powers), 0)!.meanSquare).toBeLessThan(1e-20)
  })

  it('is told by eight samples with a power, inside of the log', () => {
    const some = (n: number) =>
      rateResiduals(
        pace(seconds.slice(1, 1 + n), () => 1),
        logOf(powers),
        0,
      )
    expect(some(8)).not.toBeNull()
    expect(some(7)).toBeNull()
    // Of nine samples two lie before the log, with a lag of two.
    expect(
      rateResiduals(
        pace(seconds.slice(1, 10), () => 1),
        logOf(powers),
        2,
      ),
    ).toBeNull()
    expect(
      rateResiduals(
        pace(seconds.slice(1, 11), () => 1),
        logOf(powers),
        2,
      )!.residuals,
    ).toHaveLength(8)
    expect(
      rateResiduals(
        pace(seconds.slice(-9), () => 1),
        logOf(powers),
        -2,
      ),
    ).toBeNull()
    const off = powers.map((watts, i) => (i > 7 ? 0 : watts))
    expect(
      rateResiduals(
        pace(seconds.slice(1), () => 1),
        logOf(off),
        0,
      ),
    ).toBeNull()
  })
})

describe('how alike changes of pace and power are', () => {
  const spans = [{ startS: -100, endS: 200 }]
  const alike = (samples: PacedSamples, lagS = 0, of = spans, log = logOf(powers)) =>
    rateChangesAlike(samples, log, of, lagS)
  const proportional = pace(seconds.slice(1), (s) => 0.5 * Math.log(powers[s]!))

  it('is 1 where they go together, -1 where they go against each other', () => {
    expect(alike(proportional)).toBeCloseTo(1, 9)
    expect(alike(pace(seconds.slice(1), (s) => -2 * Math.log(powers[s]!)))).toBeCloseTo(-1, 9)
    expect(
      alike(
        pace(seconds.slice(4), (s) => Math.log(powers[s - 3]!)),
        3,
      ),
    ).toBeCloseTo(1, 9)
    expect(alike(pace(seconds.slice(4), (s) => Math.log(powers[s - 3]!)))).toBeLessThan(0.8)
  })

  it('is 0 where either does not change', () => {
    expect(alike(pace(seconds.slice(1), () => 1))).toBe(0)
    expect(alike(proportional, 0, spans, logOf(powers.map(() => 40)))).toBe(0)
    expect(alike(pace([], () => 1))).toBe(0)
  })

  it('is the correlation of changes over three samples about 0', () => {
    const rates = seconds.slice(1).map((s) => Math.log(powers[s]!) + 0.1 * Math.cos(3 * s))
    let [both, power, rate] = [0, 0, 0]
    for (let i = 3; i < rates.length; i++) {
      const [p, r] = [Math.log(powers[i + 1]! / powers[i - 2]!), rates[i]! - rates[i - 3]!]
      both += p * r
      power += p * p
      rate += r * r
    }
    expect(alike(pace(seconds.slice(1), (s) => rates[s - 1]!))).toBeCloseTo(both / Math.sqrt(power * rate), 9)
  })

  it('counts changes within the work: those that begin two intervals and more after its start', () => {
    // The pace falls where power rises until 20 s, and goes with it from then on.
    const turned = pace(seconds.slice(1), (s) => (s <= 20 ? -1 : 1) * Math.log(powers[s]! / 50))
    expect(alike(turned, 0, [{ startS: 18.5, endS: 60 }])).toBeCloseTo(1, 9)
    expect(alike(turned, 0, [{ startS: 0, endS: 15.5 }])).toBeCloseTo(-1, 9)
    // One change more of either kind.
    expect(alike(turned, 0, [{ startS: 17.5, endS: 60 }])).toBeLessThan(0.9999)
    expect(alike(turned, 0, [{ startS: 0, endS: 16.5 }])).toBeGreaterThan(-0.9999)
    const both = [
      { startS: 0, endS: 10 },
      { startS: 18.5, endS: 60 },
    ]
    expect(Math.abs(alike(turned, 0, both))).toBeLessThan(0.95)
    expect(alike(turned, 0, [])).toBe(0)
  })
})
