import { describe, expect, test } from 'vitest'
import { fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import { parseLog } from '../../../src/log/parseLog.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { drawChassis } from '../../worlds/chassisTruth.js'
import { chipTruth, drawChip } from '../../worlds/chipTruth.js'
import { makeWorld } from '../../worlds/makeWorld.js'
import { randomStream } from '../../worlds/randomStream.js'

/** A machine of generated habits whose die follows the power within a tenth of a second, seen every 5 s. */
function quickDie(seed: number) {
  const random = randomStream(seed)
  const chip = chipTruth(drawChip(random, 'Plover X'))
  const drawn = drawChassis(random, 'budget-then-heat', chip, 'Plover slim')
  const thermal = drawn.thermal.map((stage, i) => (i === 0 ? { ...stage, tauS: 0.1 } : stage))
  return makeWorld(seed, { chip, chassis: { ...drawn, thermal }, dialect: 'plain' })
}

function fitted(seed: number) {
  const { trace } = parseLog(quickDie(seed).logs[0]!.bytes)
  return fitChassis({ name: 'Plover slim', trials: [{ trace, loads: findLoads(trace) }], ambientC: 22 })
}

describe('a chassis model whose own load ends elsewhere than was measured', () => {
  test.each([1001])('is told to fail, and projects no heat: seed %d', (seed) => {
    const { kind, chassis, warnings } = fitted(seed)
    expect(warnings.map(({ code }) => code)).toContain('chassis-misses-steady')
    expect(kind).not.toBe('heat')
    expect(chassis.thermal?.ceilingC ?? null).toBe(null)
    expect(chassis.heatBudget).toBe(null)
  })

  test('is kept, heat and all, where it ends as measured', () => {
    const { kind, chassis, warnings } = fitted(1002)
    expect(warnings).toEqual([])
    expect(kind).toBe('heat')
    expect(chassis.thermal!.ceilingC).not.toBe(null)
  })
})
