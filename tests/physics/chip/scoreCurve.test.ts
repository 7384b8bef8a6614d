import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  elasticityAt,
  fillRates,
  powerForRate,
  rateAt,
  type ScoreCurve,
} from '../../../src/physics/chip/scoreCurve.js'
import { clockAtPower, powerAtClock } from '../../../src/physics/chip/voltageFloor.js'
import { evenDoubles } from '../../evenDoubles.js'

const voltageFloors = fc
  .record({
    fixed: evenDoubles(0, 0.5),
    leakage: evenDoubles(0, 0.3),
    linear: evenDoubles(0.05, 0.8),
    quadratic: evenDoubles(0, 0.4),
    floorClock: evenDoubles(0.3, 2),
    floorVoltage: evenDoubles(0.55, 0.95),
    memoryShare: evenDoubles(0, 0.6),
    overlap: evenDoubles(1, 8),
    topW: fc.option(evenDoubles(60, 200), { nil: null }),
  })
  .map(({ fixed, leakage, floorClock, floorVoltage, ...rest }): ScoreCurve & { shape: 'voltage-floor' } => ({
    ...rest,
    shape: 'voltage-floor',
    scale: 1000,
    referenceW: 80,
    bend: null,
    fixedW: 80 * fixed,
    leakageW: 80 * (1 - fixed) * leakage,
    dynamicW: 80 * (1 - fixed) * (1 - leakage),
    voltageClock: Math.max(1, floorClock),
    floorVoltage: floorClock > 1 ? 1 : floorVoltage,
  }))

const curves: fc.Arbitrary<ScoreCurve> = fc.oneof(
  voltageFloors,
  fc.record({
    shape: fc.constant('power-law' as const),
    scale: evenDoubles(1, 1e4),
    exponent: evenDoubles(0.1, 1.5),
  }),
  fc.record({
    shape: fc.constant('offset-power-law' as const),
    scale: evenDoubles(1, 1e4),
    referenceW: fc.constant(80),
    topW: fc.constant(null),
    bend: fc.constant(null),
    fixedW: evenDoubles(0, 50),
    exponent: evenDoubles(0.1, 1),
  }),
  fc.record({
    shape: fc.constant('log-quadratic' as const),
    scale: evenDoubles(1, 1e4),
    referenceW: fc.constant(80),
    topW: fc.constant(null),
    bend: fc.constant({ tilt: 0.01, stepLn: 0.15, above: [0.01, -0.02], below: [0.02, 0.01] }),
    slope: evenDoubles(0.2, 2),
    curvature: evenDoubles(-0.4, 0),
  }),
)

describe('fillRates', () => {
  it('gives at rising powers what rateAt gives at each, whatever the shape', () => {
    const drawn = fc.oneof(
      curves,
      fc.record({
        shape: fc.constant('broken-power-law' as const),
        scale: evenDoubles(1, 1e4),
        referenceW: fc.constant(80),
        topW: fc.option(evenDoubles(60, 200), { nil: null }),
        bend: fc.constant({ tilt: 0.01, stepLn: 0.15, above: [0.01, -0.02], below: [0.02, 0.01] }),
        steep: evenDoubles(1, 4),
        gentle: evenDoubles(0.05, 0.8),
        sharpness: evenDoubles(1, 60),
        breakW: evenDoubles(30, 120),
      }),
      fc.record({
        shape: fc.constant('elasticity-course' as const),
        scale: fc.constant(1),
        referenceW: fc.constant(80),
        topW: fc.constant(null),
        bend: fc.constant(null),
        knotsLn: fc.constant([-1, -0.3, 0.2, 0.9]),
        elasticities: fc.array(evenDoubles(0.01, 3), { minLength: 4, maxLength: 4 }),
      }),
    )
    const rising = fc
      .array(evenDoubles(0, 300), { minLength: 1, maxLength: 30 })
      .map((powers) => powers.sort((a, b) => a - b))
    fc.assert(
      fc.property(drawn, rising, (curve, powersW) => {
        const rates = new Float64Array(powersW.length)
        fillRates(curve, powersW, rates)
        powersW.forEach((powerW, g) => {
          const rate = rateAt(curve, powerW)
          expect(Math.abs(rates[g]! - rate)).toBeLessThanOrEqual(1e-12 * rate)
        })
      }),
    )
  })
})

describe('rateAt', () => {
  it('never falls as power rises, whatever the shape', () => {
    fc.assert(
      fc.property(curves, evenDoubles(1, 300), evenDoubles(1, 1.5), (curve, powerW, factor) => {
        // A bend may outweigh a nearly flat log-quadratic far up; fitted bends are held back (see scoreBasis).
        fc.pre(curve.shape !== 'log-quadratic' || powerW * factor < 100)
        expect(rateAt(curve, powerW * factor)).toBeGreaterThanOrEqual(rateAt(curve, powerW) * (1 - 1e-9))
      }),
    )
  })

  it('all but vanishes where no power is left for work, is 0 at 0 W, and flat above the top', () => {
    const curve: ScoreCurve = {
      shape: 'offset-power-law',
      scale: 100,
      referenceW: 80,
      topW: 120,
      bend: null,
      fixedW: 30,
      exponent: 0.5,
    }
    // With a tenth of the power left for work the elasticity is 0.5 / 0.1, and stays so below.
    const steepW = 30 / 0.9
    expect(rateAt(curve, steepW)).toBeCloseTo(100 * Math.sqrt((steepW - 30) / 50), 10)
    expect(rateAt(curve, 30)).toBeCloseTo(rateAt(curve, steepW) * 0.9 ** 5, 10)
    expect(rateAt(curve, 0)).toBe(0)
    expect(rateAt(curve, 80)).toBe(100)
    expect(rateAt(curve, 200)).toBe(rateAt(curve, 120))
    expect(elasticityAt(curve, 200)).toBe(0)
    expect(elasticityAt(curve, 30)).toBeCloseTo(5, 12)
  })
})

const offset: ScoreCurve = {
  shape: 'offset-power-law',
  scale: 100,
  referenceW: 80,
  topW: 120,
  bend: { tilt: 0.05, stepLn: 0.1, above: [0.1], below: [0.2] },
  fixedW: 30,
  exponent: 0.5,
}

describe('elasticityAt', () => {
  it('is the exponent of a power law, and of an offset one 0.5 P / (P - fixed) with its bend', () => {
    expect(elasticityAt({ shape: 'power-law', scale: 100, exponent: 0.5 }, 64)).toBe(0.5)
    expect(elasticityAt(offset, 100)).toBeCloseTo((0.5 * 100) / 70 + 0.15, 12)
    expect(elasticityAt(offset, 60)).toBeCloseTo((0.5 * 60) / 30 + 0.25, 12)
  })

  it('is that from below at the top, and undefined at 0 W, bend or not', () => {
    expect(elasticityAt(offset, 120)).toBeCloseTo((0.5 * 120) / 90 + 0.15, 12)
    expect(elasticityAt(offset, 30)).toBeCloseTo(0.5 / 0.1 + 0.25, 12)
    expect(elasticityAt(offset, 0)).toBeUndefined()
  })

  it('is the slope of ln rate against ln power', () => {
    fc.assert(
      fc.property(curves, evenDoubles(40, 150), (curve, powerW) => {
        const step = 1e-5
        const [low, high] = [powerW * (1 - step), powerW * (1 + step)]
        fc.pre(rateAt(curve, low) > 0)
        const ends = [elasticityAt(curve, low)!, elasticityAt(curve, high)!]
        // Kinks (the end of the voltage floor, the top, knots of the bend) have two slopes.
        fc.pre(Math.abs(ends[0]! - ends[1]!) < 0.01 * Math.abs(ends[0]!))
        const slope = Math.log(rateAt(curve, high) / rateAt(curve, low)) / Math.log(high / low)
        expect(elasticityAt(curve, powerW)!).toBeCloseTo(slope, 2)
      }),
    )
  })
})

describe('powerForRate', () => {
  it('undoes rateAt where the curve still rises', () => {
    fc.assert(
      fc.property(curves, evenDoubles(50, 90), (curve, powerW) => {
        const elasticity = elasticityAt(curve, powerW)
        fc.pre(elasticity !== undefined && elasticity > 0.01)
        fc.pre(!('topW' in curve) || curve.topW === null || curve.topW > powerW)
        expect(powerForRate(curve, rateAt(curve, powerW))!).toBeCloseTo(powerW, 5)
      }),
    )
  })

  it('is the least power that reaches the highest rate', () => {
    expect(powerForRate(offset, rateAt(offset, 300))).toBeCloseTo(120, 9)
    expect(powerForRate(offset, rateAt(offset, 300) * (1 + 1e-9))).toBeUndefined()
  })

  it('has no answer above the highest rate', () => {
    const curve: ScoreCurve = {
      shape: 'log-quadratic',
      scale: 100,
      referenceW: 80,
      topW: 100,
      bend: null,
      slope: 0.5,
      curvature: 0,
    }
    expect(powerForRate(curve, 1000)).toBeUndefined()
    expect(() => powerForRate(curve, 0)).toThrow(expect.objectContaining({ code: 'rate-not-positive' }))
  })
})

describe('clockAtPower', () => {
  it('undoes powerAtClock on both sides of the voltage floor', () => {
    fc.assert(
      fc.property(voltageFloors, evenDoubles(0.1, 2.5), (curve, clock) => {
        expect(clockAtPower(curve, powerAtClock(curve, clock))).toBeCloseTo(clock, 7)
      }),
    )
  })
})
