import { describe, expect, test } from 'vitest'
import { fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import { parseLog } from '../../../src/log/parseLog.js'
import type { Estimate } from '../../../src/numeric/statistics/estimate.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { sayChassis } from '../../../src/show/text/sayChassis.js'
import { randomStream } from '../../worlds/randomStream.js'
import { OTHER_CONTROLLERS, type OtherController, otherLoop } from './otherControllers.js'

function fitted(seed: number, controller: OtherController) {
  const loop = otherLoop(randomStream(seed), controller)
  const { trace } = parseLog(loop.log)
  const trials = [{ trace, loads: findLoads(trace) }]
  return { loop, ...fitChassis({ name: 'Bittern slim', trials, ambientC: null }) }
}

const holds = (estimate: Estimate | null, truth: number) =>
  estimate !== null && estimate.low <= truth && truth <= estimate.high

describe.each(OTHER_CONTROLLERS)('a loop under a controller of another kind: %s', (controller) => {
  const fits = [401, 402, 403, 404, 405].map((seed) => fitted(seed, controller))

  test('tells how long the burst from idle is held', () => {
    for (const { loop, chassis } of fits)
      expect(Math.abs(chassis.burstHoldS!.value / loop.holdS - 1)).toBeLessThan(0.06)
    expect(fits.filter(({ loop, chassis }) => holds(chassis.burstHoldS, loop.holdS)).length).toBeGreaterThan(
      3,
    )
  })

  test('tells burst and sustained power to half a per cent', () => {
    for (const { loop, chassis } of fits) {
      expect(Math.abs(chassis.burstW.value / loop.burstW - 1)).toBeLessThan(0.005)
      expect(Math.abs(chassis.sustainedW.value / loop.sustainedW - 1)).toBeLessThan(0.005)
    }
  })
})

test('a time constant of the pauses has a row of its own, and none where one explains all', () => {
  const rows = (seed: number, controller: OtherController) => sayChassis(fitted(seed, controller).chassis)
  expect(rows(404, 'two-constants').map(([name]) => name)).toContain('in pauses')
  expect(rows(405, 'timer').map(([name]) => name)).not.toContain('in pauses')
})
