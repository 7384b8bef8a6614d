import { describe, expect, it } from 'vitest'
import type { Chassis } from '../../../src/physics/loop/chassis.js'
import { simulateLoop } from '../../../src/physics/loop/simulateLoop.js'
import type { LimitsAsked } from '../../../src/predict/projection/completeLimits.js'
import { drawPairs } from '../../../src/predict/projection/drawPairs.js'
import { isChassis, sweptTarget, targetMachines } from '../../../src/predict/projection/targetMachines.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const limits = { sustainedW: 70, burstW: 110, burstForS: 25 }

/** Share of the draws in which the budgets of a target in numbers give way by latching. */
function latchingShare(tested: Chassis | null): number {
  const chip = powerLawChip()
  const { targetFor, scoreCount } = targetMachines({ chip, tested, idleW: 5 }, limits)
  const pairs = drawPairs(chip.draws, scoreCount + 1)
  const latching = pairs.filter(({ scores }) => targetFor(scores).machine.givesWay === 'latch')
  return (
    latching.reduce((sum, { weight }) => sum + weight, 0) / pairs.reduce((sum, { weight }) => sum + weight, 0)
  )
}

describe('a target given in numbers', () => {
  it('gives way as the chassis as tested does, in three draws of four', () => {
    expect(latchingShare(oneBudget({ givesWay: 'headroom' }))).toBeCloseTo(0.25, 1)
    expect(latchingShare(oneBudget({ givesWay: 'latch' }))).toBeCloseTo(0.75, 1)
  })

  it('may as well give way in either manner where no budget was seen at work', () => {
    expect(latchingShare(null)).toBeCloseTo(0.5, 1)
    expect(latchingShare(oneBudget({ budgets: [], givesWay: 'latch' }))).toBeCloseTo(0.5, 1)
  })

  it('holds its burst for as long as was asked in either manner', () => {
    const { targetFor } = targetMachines({ chip: powerLawChip(), tested: oneBudget(), idleW: 5 }, limits)
    for (const score of [-2, 2]) {
      const { machine } = targetFor([score])
      let heldS = 0
      simulateLoop(machine, { runs: 1, gapS: 0, work: null, durationS: 300, rate: () => 1 }, (segment) => {
        if (segment.powerW > (limits.burstW + limits.sustainedW) / 2) heldS += segment.forS
      })
      expect(heldS).toBeGreaterThan(limits.burstForS - 1.5)
      expect(heldS).toBeLessThan(limits.burstForS + 1.5)
    }
  })
})

describe('the machine of a target given in numbers', () => {
  const made = (request: object = {}, target: LimitsAsked = limits) =>
    targetMachines({ chip: powerLawChip(), ...request }, target).targetFor([0]).machine

  it('idles as asked, else as the chassis as tested, and never above half of what it sustains', () => {
    expect(made({ idleW: 9, tested: oneBudget() }).idleW).toBe(9)
    expect(made({ tested: oneBudget() }).idleW).toBe(5)
    expect(made().idleW).toBe(0)
    expect(made({ idleW: 50 }).idleW).toBe(35)
  })

  it('draws no more than the chip asks for, and gives way as fast as the chassis as tested', () => {
    expect(made().peakW).toBe(110)
    expect(made({ chip: powerLawChip({ demandW: 90 }) }).peakW).toBe(90)
    expect(made({ chip: powerLawChip({ demandW: 300 }) }).peakW).toBe(110)
    expect(made({ tested: oneBudget({ responseS: 2.5 }) }).responseS).toBe(2.5)
    expect(made()).toMatchObject({ responseS: 0, heat: null, timedSteps: [] })
  })
})

describe('a target that is a fitted chassis', () => {
  const shortTerm = { shortTermW: about(80), shortTermHoldS: about(90) }
  const thermal = {
    resistanceKPerW: about(1.2),
    stages: [{ rKPerW: 1.2, tauS: 50 }],
    ceilingC: 95,
    ambientC: 23,
  }
  const limitsOf = (parts: Partial<Chassis>, ambientC?: number) =>
    targetMachines(
      { chip: powerLawChip(), ...(ambientC === undefined ? {} : { ambientC }) },
      oneBudget(parts),
    ).limits

  it('has its limits as fitted, in any room where a set limit holds it', () => {
    const fitted = { burstW: 100, burstForS: 20, shortTermW: 80, shortTermForS: 90, sustainedW: 60 }
    expect(limitsOf(shortTerm)).toEqual(fitted)
    expect(limitsOf(shortTerm, 35)).toEqual(fitted)
    expect(limitsOf({ burstHoldS: null })).toEqual({
      ...fitted,
      burstForS: null,
      shortTermW: null,
      shortTermForS: null,
    })
  })

  it('sustains less in a warmer room where heat holds it', () => {
    const hot = { budgets: [], thermal }
    expect(limitsOf(hot).sustainedW).toBe(60)
    expect(limitsOf(hot, 35).sustainedW).toBeCloseTo((95 - 35) / 1.2, 6)
    const open = { ...thermal, ceilingC: null }
    expect(limitsOf({ budgets: [], thermal: open }, 35).sustainedW).toBe(60)
  })

  it('is told from numbers', () => {
    expect([isChassis(oneBudget()), isChassis(limits)]).toEqual([true, false])
  })
})

describe('a target of a sweep', () => {
  const target = { sustainedW: 60, burstW: 100, burstForS: 20, shortTermW: 80, shortTermForS: 90 }

  it('keeps the stages above what it sustains', () => {
    expect(sweptTarget(target, 70)).toEqual({ ...target, sustainedW: 70 })
    const burst = { sustainedW: 80, burstW: 100, burstForS: 20, shortTermW: null, shortTermForS: null }
    expect(sweptTarget(target, 80)).toEqual(burst)
    expect(sweptTarget(target, 100)).toEqual({ ...burst, sustainedW: 100, burstW: null, burstForS: null })
    expect(sweptTarget({ sustainedW: 60, burstW: 100 }, 70)).toEqual({
      ...burst,
      sustainedW: 70,
      burstForS: null,
    })
  })

  it('has those of a chassis as numbers', () => {
    const chassis = oneBudget({ shortTermW: about(80), shortTermHoldS: about(90) })
    expect(sweptTarget(chassis, 70)).toEqual({ ...target, sustainedW: 70 })
  })
})
