import { describe, expect, test } from 'vitest'
import { budgetsFromLimits, type HeldLimits } from '../../../src/physics/loop/budgetsFromLimits.js'
import type { GivesWay } from '../../../src/physics/loop/loopMachine.js'

const BOTH: HeldLimits = { burstW: 100, burstForS: 12, shortTermW: 80, shortTermForS: 140, sustainedW: 60 }
const BURST: HeldLimits = { ...BOTH, shortTermW: null, shortTermForS: null }
const machine = (responseS: number, givesWay: GivesWay = 'headroom') => ({ idleW: 6, responseS, givesWay })

describe('power that drops at once', () => {
  test('has a time constant in closed form for its burst', () => {
    expect(budgetsFromLimits(BURST, machine(0))).toEqual([
      { limitW: 60, tauS: expect.closeTo(12 / Math.log(94 / 40), 9) },
    ])
  })

  test('has a second average that is at its limit as the short-term stage ends', () => {
    const [first, second] = budgetsFromLimits(BOTH, machine(0))
    expect(first).toEqual({ limitW: 80, tauS: expect.closeTo(12 / Math.log(94 / 20), 9) })
    expect(second!.limitW).toBe(60)
    const { tauS } = second!
    const afterBurstW = 100 - 94 * Math.exp(-12 / tauS)
    expect(80 + (afterBurstW - 80) * Math.exp(-140 / tauS)).toBeCloseTo(60, 8)
  })
})

describe('power that glides', () => {
  // From when power is half way down back to when the controller begins: response x ln 2.
  const beginsS = (holdS: number, responseS: number) => holdS - responseS * Math.LN2

  test('has begun to when its average was so far below the limit that headroom and gain make up the burst', () => {
    const { tauS } = budgetsFromLimits(BURST, machine(2))[0]!
    const averageW = 100 - 94 * Math.exp(-beginsS(12, 2) / tauS)
    expect(60 + (60 - averageW) * (tauS / 2 - 1)).toBeCloseTo(100, 6)
  })

  test('has begun to with its average at the limit where the budget latches', () => {
    const { tauS } = budgetsFromLimits(BURST, machine(2, 'latch'))[0]!
    expect(tauS).toBeCloseTo(beginsS(12, 2) / Math.log(94 / 40), 9)
  })

  test('keeps a fifth of a hold that is shorter than its own glide', () => {
    const { tauS } = budgetsFromLimits({ ...BURST, burstForS: 2 }, machine(4, 'latch'))[0]!
    expect(tauS).toBeCloseTo(0.4 / Math.log(94 / 40), 9)
  })

  test.each(['headroom', 'latch'] as const)('has risen while it came down from the burst: %s', (givesWay) => {
    const responseS = 2
    const { tauS } = budgetsFromLimits(BOTH, machine(responseS, givesWay))[1]!
    // Euler steps of a millisecond through the burst, the glide to 80 W and the rest of the short-term stage.
    let averageW = 6
    for (let tS = 0; tS < beginsS(12, responseS) + 140; tS += 1e-3) {
      const glidesS = tS - beginsS(12, responseS)
      const powerW = glidesS < 0 ? 100 : 80 + 20 * Math.exp(-glidesS / responseS)
      averageW += ((powerW - averageW) * 1e-3) / tauS
    }
    const atDropW = givesWay === 'latch' ? 60 : 60 - 20 / (tauS / responseS - 1)
    expect(Math.abs(averageW - atDropW)).toBeLessThan(2e-3)
  })
})

describe('limits that leave a stage out', () => {
  test('a flat power needs no budget', () => {
    expect(budgetsFromLimits({ ...BURST, burstW: 60 }, machine(0))).toEqual([])
    expect(budgetsFromLimits({ ...BURST, burstForS: null }, machine(0))).toEqual([])
  })

  test('a short-term power without a burst begins with the load', () => {
    const right = [{ limitW: 60, tauS: expect.closeTo(140 / Math.log(74 / 20), 9) }]
    expect(budgetsFromLimits({ ...BOTH, burstForS: null }, machine(0))).toEqual(right)
    expect(budgetsFromLimits({ ...BOTH, burstW: 80 }, machine(0))).toEqual(right)
  })

  test('a short-term power that is the sustained one, or for which no time is known, needs none of its own', () => {
    const right = [{ limitW: 60, tauS: expect.closeTo(12 / Math.log(94 / 40), 9) }]
    expect(budgetsFromLimits({ ...BOTH, shortTermW: 60 }, machine(0))).toEqual(right)
    expect(budgetsFromLimits({ ...BOTH, shortTermForS: null }, machine(0))).toEqual([
      { limitW: 80, tauS: expect.closeTo(12 / Math.log(94 / 20), 9) },
    ])
  })
})

test('a hold of no time, or a limit below idle power, is refused', () => {
  for (const responseS of [0, 2]) {
    for (const burstForS of [0, -4]) {
      expect(() => budgetsFromLimits({ ...BURST, burstForS }, machine(responseS))).toThrow(
        expect.objectContaining({ code: 'hold-not-positive' }),
      )
    }
  }
  expect(() => budgetsFromLimits({ ...BURST, sustainedW: 5 }, machine(0))).toThrow(
    expect.objectContaining({ code: 'powers-not-ordered' }),
  )
})
