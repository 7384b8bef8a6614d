import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  clockAtPower,
  fillRelativeElasticities,
  fillRelativeRates,
  powerAtClock,
  relativeRate,
  relativeRateElasticity,
  type VoltageFloorShape,
} from '../../../src/physics/chip/voltageFloor.js'
import { evenDoubles } from '../../evenDoubles.js'

/** v = max(0.8, u) with u the clock: 40 W at clock 1, of which 4 fixed and 6 leakage. */
const CUBE: VoltageFloorShape = {
  fixedW: 4,
  leakageW: 6,
  dynamicW: 30,
  linear: 1,
  quadratic: 0,
  voltageClock: 1,
  floorVoltage: 0.8,
  memoryShare: 0,
  overlap: 1,
}
/** v = max(1, 1 + 0.2 (u - 1) + 0.3 (u² - 1)) with u = clock / 1.5: at 0.3 per kelvin of clock squared the floor ends at 1.5. */
const LATE: VoltageFloorShape = { ...CUBE, linear: 0.2, quadratic: 0.3, voltageClock: 1.5, floorVoltage: 1 }

describe('power at a clock', () => {
  test('is fixed, leakage by the voltage, and clock by the squared voltage, above the floor and on it', () => {
    expect(powerAtClock(CUBE, 1)).toBeCloseTo(40, 12)
    expect(powerAtClock(CUBE, 1.2)).toBeCloseTo(4 + 6 * 1.2 + 30 * 1.2 ** 3, 12)
    expect(powerAtClock(CUBE, 0.5)).toBeCloseTo(4 + 6 * 0.8 + 30 * 0.5 * 0.64, 12)
    expect(powerAtClock(LATE, 1.4)).toBeCloseTo(4 + 6 + 30 * 1.4, 12)
    const v = 1 + 0.2 / 3 + 0.3 * (16 / 9 - 1)
    expect(powerAtClock(LATE, 2)).toBeCloseTo(4 + 6 * v + 60 * v * v, 12)
  })
})

describe('rate at a power', () => {
  const at = (shape: Partial<VoltageFloorShape>, clock: number) =>
    relativeRate({ ...CUBE, ...shape }, powerAtClock(CUBE, clock))

  test('is the clock where nothing waits for memory', () => {
    for (const clock of [0.5, 0.8, 1, 1.3]) expect(at({}, clock)).toBeCloseTo(clock, 10)
    expect(at({ overlap: 3 }, 0.5)).toBeCloseTo(0.5, 10)
  })

  test('adds the time for memory, or overlaps it', () => {
    expect(at({ memoryShare: 0.25 }, 0.5)).toBeCloseTo(1 / (0.75 / 0.5 + 0.25), 10)
    expect(at({ memoryShare: 0.25 }, 1.3)).toBeCloseTo(1 / (0.75 / 1.3 + 0.25), 10)
    expect(at({ memoryShare: 0.25, overlap: 2 }, 0.5)).toBeCloseTo(1 / Math.sqrt(0.75 / 0.25 + 0.25), 10)
    for (const overlap of [1, 2, 7]) expect(at({ memoryShare: 0.4, overlap }, 1)).toBeCloseTo(1, 10)
  })
})

describe('elasticity at a power', () => {
  test('is power over what the clock moves of it, on the floor and above', () => {
    // On the floor P = 8.8 + 19.2 x; above it P = 4 + 6 x + 30 x³.
    const atClock = (clock: number) => relativeRateElasticity(CUBE, powerAtClock(CUBE, clock))
    expect(atClock(0.5)).toBeCloseTo((8.8 + 9.6) / 9.6, 9)
    expect(atClock(1)).toBeCloseTo(40 / (6 + 90), 9)
  })

  test('is less by the share of time that waits for memory', () => {
    const waits = { ...CUBE, memoryShare: 0.25 }
    expect(relativeRateElasticity(waits, 40)).toBeCloseTo((0.75 * 40) / 96, 9)
    const overlaps = { ...CUBE, memoryShare: 0.25, overlap: 2 }
    const powerW = powerAtClock(CUBE, 0.5)
    expect(relativeRateElasticity(overlaps, powerW)).toBeCloseTo(((3 / 3.25) * 18.4) / 9.6, 9)
  })
})

const shapes = fc
  .record({
    fixedW: evenDoubles(0, 30),
    leakageW: evenDoubles(0, 20),
    dynamicW: evenDoubles(10, 60),
    linear: evenDoubles(0.05, 0.8),
    quadratic: evenDoubles(0, 0.4),
    floorClock: evenDoubles(0.3, 2),
    floorVoltage: evenDoubles(0.55, 0.95),
    memoryShare: fc.oneof(fc.constant(0), evenDoubles(0, 0.6)),
    overlap: fc.oneof(fc.constant(1), evenDoubles(1, 8)),
  })
  .map(
    ({ floorClock, ...shape }): VoltageFloorShape => ({
      ...shape,
      voltageClock: Math.max(1, floorClock),
      floorVoltage: floorClock > 1 ? 1 : shape.floorVoltage,
    }),
  )

test('where a power buys no clock there is no rate and no elasticity: the voltage need not reach its floor', () => {
  // v = 0.95 + 0.05 u: 4 + 5.7 W are drawn without any clock.
  const steady = { ...CUBE, linear: 0.05, floorVoltage: 0.55, memoryShare: 0.2, overlap: 1.5 }
  const powersW = [7, 9.6, 9.8]
  const [rates, elasticities] = [new Float64Array(3), new Float64Array(3)]
  fillRelativeRates(steady, powersW, rates, 0)
  fillRelativeElasticities(steady, powersW, elasticities, 0)
  for (const [g, powerW] of powersW.entries()) {
    const works = powerW > 9.7
    expect(relativeRate(steady, powerW) > 0).toBe(works)
    expect(relativeRateElasticity(steady, powerW) === undefined).toBe(!works)
    expect(rates[g]! > 0).toBe(works)
    expect(elasticities[g]! > 0).toBe(works)
    expect(rates[g]! >= 0 && elasticities[g]! >= 0).toBe(true)
  }
})

describe('whatever the chip', () => {
  test('the clock at a power draws that power, to nine digits', () => {
    fc.assert(
      fc.property(shapes, evenDoubles(0.05, 3), (shape, clock) => {
        const powerW = powerAtClock(shape, clock)
        expect(Math.abs(powerAtClock(shape, clockAtPower(shape, powerW)) / powerW - 1)).toBeLessThan(1e-9)
      }),
    )
  })

  test('elasticity is the slope of ln rate over ln power', () => {
    fc.assert(
      fc.property(shapes, evenDoubles(0.1, 2.5), (shape, clock) => {
        const powerW = powerAtClock(shape, clock)
        const [low, high] = [powerW * (1 - 1e-4), powerW * (1 + 1e-4)]
        const ends = [relativeRateElasticity(shape, low)!, relativeRateElasticity(shape, high)!] as const
        // The end of the floor has two slopes.
        fc.pre(Math.abs(ends[0] / ends[1] - 1) < 2e-3)
        const slope = Math.log(relativeRate(shape, high) / relativeRate(shape, low)) / Math.log(high / low)
        expect(Math.abs(relativeRateElasticity(shape, powerW)! / slope - 1)).toBeLessThan(2e-3)
      }),
    )
  })

  test('many powers get what each gets by itself, from the asked place on', () => {
    fc.assert(
      fc.property(
        shapes,
        fc.array(evenDoubles(0.05, 3), { minLength: 2, maxLength: 12 }),
        (shape, clocks) => {
          const powersW = clocks.sort((a, b) => a - b).map((clock) => powerAtClock(shape, clock))
          const rates = new Float64Array(powersW.length).fill(-1)
          const elasticities = new Float64Array(powersW.length).fill(-1)
          fillRelativeRates(shape, powersW, rates, 1)
          fillRelativeElasticities(shape, powersW, elasticities, 1)
          expect([rates[0], elasticities[0]]).toEqual([-1, -1])
          for (let g = 1; g < powersW.length; g++) {
            expect(rates[g]! / relativeRate(shape, powersW[g]!)).toBeCloseTo(1, 10)
            expect(elasticities[g]! / relativeRateElasticity(shape, powersW[g]!)!).toBeCloseTo(1, 9)
          }
        },
      ),
    )
  })
})
