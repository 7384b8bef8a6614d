import { describe, expect, it } from 'vitest'
import type { Chassis } from '../../../src/physics/loop/chassis.js'
import { simulateLoop } from '../../../src/physics/loop/simulateLoop.js'
import { drawPairs } from '../../../src/predict/projection/drawPairs.js'
import { targetMachines } from '../../../src/predict/projection/targetMachines.js'
import { oneBudget, powerLawChip } from '../fixtures.js'

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
