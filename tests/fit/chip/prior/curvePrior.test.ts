import { describe, expect, it } from 'vitest'
import { brokenLaw } from '../../../../src/fit/chip/prior/brokenLaw.js'
import { courseOfElasticity } from '../../../../src/fit/chip/prior/courseOfElasticity.js'
import { curvePrior, topPower } from '../../../../src/fit/chip/prior/curvePrior.js'
import { normalAt, within } from '../../../../src/fit/chip/prior/normalAt.js'
import { packageCurve } from '../../../../src/fit/chip/prior/packageCurve.js'
import { elasticityAt, rateAt } from '../../../../src/physics/chip/scoreCurve.js'

const powers = { referenceW: 60, idleW: null, lowestW: 40, highestW: 80, levels: 5, noted: false }
const half = new Array<number>(8).fill(0.5)
/** Half but for one coordinate. */
const at = (place: number, u: number) => half.map((value, k) => (k === place ? u : value))

describe('values of a prior', () => {
  it('lie in a normal distribution by their share (published table), kept off its ends', () => {
    expect(normalAt(0.5, 3, 2)).toBeCloseTo(3, 12)
    expect(normalAt(0.95, 3, 2)).toBeCloseTo(3 + 2 * 1.644854, 5)
    expect(normalAt(0, 0, 1)).toBeCloseTo(-3.719016, 4)
    expect(normalAt(1, 0, 1)).toBeCloseTo(3.719016, 4)
    expect([within(1, 2, 0), within(1, 2, 1.5), within(1, 2, 3)]).toEqual([1, 1.5, 2])
  })
})

describe('the families of the prior', () => {
  it('have probabilities that add up to 1, and a rate of 1 at the reference', () => {
    for (const noted of [false, true]) {
      const families = curvePrior({ ...powers, noted })
      expect(families.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 12)
      for (const { curveAt, shape } of families) {
        const curve = curveAt([0.3, 0.7, 0.2, 0.6, 0.4, 0.8, 0.1, 0.9])
        expect(curve.shape).toBe(shape)
        expect(rateAt(curve, 60)).toBeCloseTo(1, 6)
        expect(rateAt(curve, 70)).toBeGreaterThan(1)
        expect(rateAt(curve, 50)).toBeLessThan(1)
      }
    }
  })
})

describe('a package', () => {
  it('splits the reference power into fixed, leakage and dynamic power', () => {
    const { fixedW, leakageW, dynamicW, linear, quadratic } = packageCurve(half, 60, null)
    const fixed = 0.33 * (0.5 / 0.88) ** 2
    expect(fixedW).toBeCloseTo(60 * fixed, 9)
    expect(leakageW).toBeCloseTo(60 * (1 - fixed) * 0.16, 9)
    expect(fixedW + leakageW + dynamicW).toBeCloseTo(60, 9)
    // (1 / 0.45 - 1) / 2, of which (0.5 - 0.35) / 0.65 is quadratic.
    const slope = (1 / 0.45 - 1) / 2
    expect(linear).toBeCloseTo(slope * (1 - 0.15 / 0.65), 9)
    expect(quadratic).toBeCloseTo((slope * 0.15) / 0.65 / 2, 9)
    expect(packageCurve(at(3, 0.35), 60, null).quadratic).toBe(0)
    expect(packageCurve(at(3, 0.2), 60, null).quadratic).toBe(0)
  })

  it('has a large fixed part in one test of eight', () => {
    expect(packageCurve(at(0, 0.88), 60, null).fixedW).toBeCloseTo(60 * 0.2, 9)
    expect(packageCurve(at(0, 0.94), 60, null).fixedW).toBeCloseTo(60 * 0.45, 9)
    expect(packageCurve(at(0, 0.8799), 60, null).fixedW).toBeCloseTo(60 * 0.33, 1)
  })

  it('has about its idle power as fixed part where that was seen, seven tenths at most', () => {
    expect(packageCurve(at(0, 0.475), 60, 6).fixedW).toBeCloseTo(6, 9)
    expect(packageCurve(at(0, 0.94), 60, 40).fixedW).toBeCloseTo(42, 9)
    expect(packageCurve(at(0, 0.95), 60, 6).fixedW).toBeCloseTo(0, 9)
    expect(packageCurve(at(0, 0.975), 60, 6).fixedW).toBeCloseTo(60 * 0.33 * (0.5 / 0.88) ** 2, 6)
  })

  it('has a voltage floor below its reference clock, or, once in fourteen, above it', () => {
    const floor = packageCurve(at(4, 0.5), 60, null)
    const clock = 0.17 ** (1 - 0.5 / 0.93)
    expect(floor.voltageClock).toBe(1)
    const { linear, quadratic } = floor
    expect(floor.floorVoltage).toBeCloseTo(
      Math.max(0.55, 1 + linear * (clock - 1) + quadratic * (clock ** 2 - 1)),
      9,
    )
    expect(packageCurve(at(4, 0.93), 60, null).floorVoltage).toBe(1)
    expect(packageCurve(at(4, 0.965), 60, null).voltageClock).toBeCloseTo(Math.sqrt(2.2), 9)
    expect(packageCurve(at(4, 0), 60, null).floorVoltage).toBe(0.55)
  })

  it('waits for memory in three workloads of five, the times adding up or overlapping', () => {
    // Without a fixed part one in ten overlaps.
    const memory = (u: number, v: number) => packageCurve([0, 0.5, 0.5, 0.5, 0.5, u, v], 60, null)
    expect(memory(0.39, 0.5)).toMatchObject({ memoryShare: 0, overlap: 1 })
    expect(memory(0.7, 0.5)).toMatchObject({ memoryShare: expect.closeTo(0.75 / 4, 9), overlap: 1 })
    expect(memory(0.7, 0.899).overlap).toBe(1)
    const { overlap, memoryShare } = memory(0.7, 0.95)
    expect(overlap).toBeCloseTo(2 * Math.sqrt(6), 9)
    expect(memoryShare).toBeCloseTo(Math.exp(0.73) ** -overlap, 9)
  })
})

describe('a course of elasticity', () => {
  it('begins in the upper third of the range and grows downwards, level by level', () => {
    const { knotsLn, elasticities } = courseOfElasticity(half, powers)
    const span = Math.log(2)
    const apart = span / 4
    expect(knotsLn).toEqual(
      [-2 * apart, -apart, 0, span / 3, (2 * span) / 3, span, span + apart, span + 2 * apart].map((ln) =>
        expect.closeTo(ln + Math.log(40 / 60), 9),
      ),
    )
    // 0.6 grows by 0.45 a level below 1, by 0.2 above; a third of the range has 4/3 levels.
    const e3 = 0.6 * Math.exp(0.45 * (4 / 3))
    const e2 = e3 * Math.exp(0.2 * (4 / 3))
    const e1 = e2 * Math.exp(0.2)
    const e5 = 0.6 * Math.exp(-0.45 * (4 / 3))
    const e6 = e5 * Math.exp(-0.3)
    const wanted = [e1 * Math.exp(0.2), e1, e2, e3, 0.6, e5, e6, e6 * Math.exp(-0.3)]
    expect(elasticities).toEqual(wanted.map((e) => expect.closeTo(e, 9)))
  })

  it('scatters by 0.26 a level', () => {
    const { elasticities } = courseOfElasticity(at(3, 0.95), powers)
    const middle = courseOfElasticity(half, powers).elasticities
    expect(Math.log(elasticities[1]! / middle[1]!)).toBeCloseTo(0.26 * 1.644854, 5)
    const down = courseOfElasticity(at(5, 0.95), powers).elasticities
    expect(Math.log(down[5]! / middle[5]!)).toBeCloseTo(-0.26 * Math.sqrt(4 / 3) * 1.644854, 5)
  })

  it('stays between 0.01 and 12', () => {
    const steep = courseOfElasticity(new Array<number>(8).fill(1), powers).elasticities
    expect(Math.max(...steep)).toBeLessThanOrEqual(12)
    expect(Math.min(...steep)).toBeGreaterThanOrEqual(0.01)
    const rising = courseOfElasticity([0.999, 1, 1, 1, 1, 0, 0, 0], powers).elasticities
    expect(rising[0]).toBe(12)
    expect(courseOfElasticity([0, 0.5, 0.5, 0.5, 0.5, 1, 1, 1], powers).elasticities[7]).toBe(0.01)
  })

  it('has levels no closer than 6 % and no further apart than a factor of two', () => {
    const apart = (lowestW: number, levels: number) => {
      const { knotsLn } = courseOfElasticity(half, { ...powers, lowestW, levels })
      return knotsLn[7]! - knotsLn[6]!
    }
    expect(apart(79, 5)).toBeCloseTo(0.06, 9)
    expect(apart(4, 2)).toBeCloseTo(0.7, 9)
    expect(apart(40, 1)).toBeCloseTo(Math.log(2), 9)
  })
})

describe('a broken power law', () => {
  it('falls from an elasticity of 1.8 to 0.22, as sharply as its levels are close', () => {
    const curve = brokenLaw(half, powers)
    expect(curve.steep).toBeCloseTo(1.8, 9)
    expect(curve.gentle).toBeCloseTo(0.22, 9)
    expect(curve.sharpness).toBeCloseTo(0.9 / (Math.log(2) / 4), 9)
    expect(brokenLaw([0, 1, 0.5, 0.5], powers).gentle).toBeLessThan(brokenLaw([0, 1, 0.5, 0.5], powers).steep)
    expect(brokenLaw([0.5, 0.5, 1, 0.5], { ...powers, lowestW: 79 }).sharpness).toBe(60)
  })

  it('breaks anywhere in the range or a half beyond, or just below the lowest level', () => {
    const breakW = (u: number) => brokenLaw([0.5, 0.5, 0.5, u], powers).breakW
    expect(breakW(0.15)).toBeCloseTo(40 * Math.exp(-0.4), 9)
    expect(breakW(1)).toBeCloseTo(80 * Math.exp(0.4), 9)
    expect(breakW(0)).toBeCloseTo(40 * Math.exp(0.02), 9)
    expect(breakW(0.1499999)).toBeCloseTo(40 * Math.exp(-0.18), 3)
  })
})

describe('the power above which a curve is flat', () => {
  const curve = packageCurve(half, 60, null)

  it('is the sooner, the steeper the curve still is at the highest power', () => {
    const hazard = 0.25 + Math.max(0, elasticityAt(curve, 80)! - 0.8)
    expect(topPower(curve, 0.2, 80)).toBeCloseTo(80 * Math.exp(-Math.log(0.8) / hazard), 9)
    // A large fixed part, on the voltage floor, nothing that waits for memory.
    const steep = packageCurve([0.97, 0.5, 0.5, 0.5, 0.99, 0, 0], 60, null)
    expect(elasticityAt(steep, 80)!).toBeGreaterThan(0.8)
    expect(topPower(steep, 0.2, 80)).toBeCloseTo(
      80 * Math.exp(-Math.log(0.8) / (0.25 + elasticityAt(steep, 80)! - 0.8)),
      9,
    )
    expect(topPower(brokenLaw(half, powers), 0.2, 80)).toBeCloseTo(80 * Math.exp(-Math.log(0.8) / 0.25), 9)
  })

  it('is nowhere when further than 4.5 times the highest power, and the curve’s own where it has one', () => {
    expect(topPower(brokenLaw(half, powers), 0.31, 80)).not.toBeNull()
    expect(topPower(brokenLaw(half, powers), 0.32, 80)).toBeNull()
    expect(topPower({ ...curve, topW: 70 }, 0.5, 80)).toBe(70)
  })
})
