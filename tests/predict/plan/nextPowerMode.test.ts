import { describe, expect, it } from 'vitest'
import { nextPowerMode } from '../../../src/predict/plan/nextPowerMode.js'
import { powerLawChip } from '../fixtures.js'

// A chip that scores 100 at 60 W with exponents spread evenly from 0.45 to 0.55: at P its 90 % interval is exp(0.09 |ln(P / 60)|) wide.
const chip = powerLawChip()
const aims = Array.from({ length: 7 }, (_, i) => 35 * (98 / 35) ** (i / 6))
const widthPct =
  aims.reduce((sum, watts) => sum + 100 * Math.expm1(0.09 * Math.abs(Math.log(watts / 60))), 0) / 7

describe('the power mode to test next', () => {
  it('narrows the projections to 0.7 of the lowest to 1.4 times the highest measured power', () => {
    const { rangeW, runs, widthBeforePct, widthAfterPct, powerW } = nextPowerMode(chip, 0.004)!
    expect(rangeW.map((watts) => Math.round(1e6 * watts) / 1e6)).toEqual([35, 98])
    expect(runs).toBe(3)
    expect(Math.abs(widthBeforePct / widthPct - 1)).toBeLessThan(0.08)
    expect(widthAfterPct).toBeLessThan(0.9 * widthBeforePct)
    // Half to one and a half times what was measured.
    expect(powerW).toBeGreaterThanOrEqual(25 - 1e-9)
    expect(powerW).toBeLessThanOrEqual(105 + 1e-9)
  })

  it('promises what runs tell of the slope: their scatter over the way to it', () => {
    // Three runs at P tell the exponent to 0.004 / sqrt(3) / ln(P / 59.2), which for far powers is a twentieth of what is open.
    const { powerW, widthAfterPct, widthBeforePct } = nextPowerMode(chip, 0.004)!
    const error = 0.004 / Math.sqrt(3) / Math.abs(Math.log(powerW / Math.sqrt(50 * 70)))
    // 3.29 standard errors of a normal beside nine tenths of an even spread of 0.1.
    expect(widthAfterPct / widthBeforePct).toBeGreaterThan((0.6 * 3.29 * error) / 0.09)
    expect(widthAfterPct / widthBeforePct).toBeLessThan((1.5 * 3.29 * error) / 0.09)
  })

  it('is the same for weights of any sum', () => {
    const heavier = { ...chip, draws: chip.draws.map((draw) => ({ ...draw, weight: 3 * draw.weight })) }
    const [plain, heavy] = [nextPowerMode(chip, 0.004)!, nextPowerMode(heavier, 0.004)!]
    expect(heavy.powerW).toBe(plain.powerW)
    expect(heavy.widthAfterPct).toBeCloseTo(plain.widthAfterPct, 6)
  })

  it('is the nearest to what was measured of those that promise nearly the same', () => {
    const quiet = nextPowerMode(chip, 0.0005)!
    const noisy = nextPowerMode(chip, 0.01)!
    const outside = (powerW: number) => Math.max(50 / powerW, powerW / 70)
    expect(outside(noisy.powerW)).toBeGreaterThan(1.1)
    // The way to 25 W is the longest, ln(59.2 / 25); 15 % less of it leaves 28 W and below, of modes 7.4 % apart.
    expect(nextPowerMode(chip, 0.004)!.powerW).toBeGreaterThan(25.5)
    expect(nextPowerMode(chip, 0.004)!.powerW).toBeLessThan(29.5)
    expect(quiet.widthAfterPct).toBeLessThan(noisy.widthAfterPct)
  })

  it('is none that the machine was never seen to hold, nor that the task does not ask for', () => {
    expect(nextPowerMode(chip, 0.004, 45)!.powerW).toBeLessThanOrEqual(45)
    expect(nextPowerMode({ ...chip, demandW: 40 }, 0.004)!.powerW).toBeLessThanOrEqual(40)
    expect(nextPowerMode({ ...chip, demandW: 40 }, 0.004, 35)!.powerW).toBeLessThanOrEqual(35)
    expect(nextPowerMode(chip, 0.004, 20)).toBeNull()
  })

  it('is none where no mode would narrow anything by a tenth', () => {
    expect(nextPowerMode(chip, 0.5)).toBeNull()
    expect(nextPowerMode(powerLawChip({}, 0.5, 0), 0.004)).toBeNull()
  })
})
