import { describe, expect, it } from 'vitest'
import type { Chassis } from '../../../src/physics/loop/chassis.js'
import type { PlanRequest } from '../../../src/predict/plan/planRequest.js'
import { drawMachines, planSettling } from '../../../src/predict/plan/planSettling.js'
import { about, oneBudget } from '../fixtures.js'

const exact = (value: number) => about(value, 1e-9)
/** Known exactly: a burst of 100 W, then 60 W. */
const known = (parts: Partial<Chassis> = {}) =>
  oneBudget({
    burstW: exact(100),
    sustainedW: exact(60),
    budgets: [{ limitW: exact(60), tauS: exact(25) }],
    givesWay: 'latch',
    responseS: 0,
    ...parts,
  })
const plan = (chassis: Chassis, request: Partial<PlanRequest> = {}) =>
  planSettling({
    chassis,
    chip: null,
    loop: { gapS: 0, runS: null },
    settled: { reached: true, loadS: 600 },
    scatter: null,
    ...request,
  })
/** From idle at 5 W an average of 25 s is at 60 W after this time, s. */
const BURST_S = 25 * Math.log(95 / 40)
const step = { limitW: exact(60), afterS: exact(75) }

describe('when power is settled', () => {
  it('is, without pauses, when the burst is over', () => {
    const { settleS, shortestBurstS, reason } = plan(known())
    expect(settleS.value).toBeCloseTo(BURST_S, 0)
    expect(settleS.high - settleS.low).toBeLessThan(0.1)
    expect(shortestBurstS).toBeCloseTo(BURST_S, 0)
    expect(reason).toEqual({ code: 'settles', by: 'budget', slowestS: expect.closeTo(25, 6) })
  })

  it('is as uncertain as what holds it', () => {
    const { low, high } = plan(known({ budgets: [{ limitW: exact(60), tauS: about(25, 20) }] })).settleS
    expect(low / BURST_S).toBeCloseTo(0.8, 1)
    expect(high / BURST_S).toBeCloseTo(1.2, 1)
  })

  it('is at once where nothing takes power away', () => {
    const { settleS, shortestBurstS, reason } = plan(known({ budgets: [] }))
    expect([settleS.value, settleS.low, settleS.high]).toEqual([0, 0, 0])
    expect(shortestBurstS).toBeNull()
    expect(reason).toEqual({ code: 'settles-at-once' })
  })

  it('is at its step in time, also in a loop, where runs tell it to half of one either way', () => {
    const stepped = known({ budgets: [], timedSteps: [step] })
    expect(plan(stepped).settleS.value).toBeCloseTo(75, 6)
    expect(plan(stepped).reason).toEqual({ code: 'settles', by: 'timed-step', slowestS: 75 })
    // Runs of 20 s every 30 s: the third, from 60 to 90 s, still has some of the burst.
    const { value, low, high } = plan(stepped, { loop: { gapS: 10, runS: 20 } }).settleS
    expect([value, low, high]).toEqual([90, 75, 105].map((s) => expect.closeTo(s, 6)))
    // A pause of less than half a second is none.
    expect(plan(stepped, { loop: { gapS: 0.4, runS: 20 } }).settleS.value).toBeCloseTo(75, 6)
  })

  it('is no later in a loop whose bursts come back for ever', () => {
    const { settleS, shortestBurstS } = plan(known(), { loop: { gapS: 20, runS: 60 } })
    expect(settleS.value).toBeLessThan(400)
    // A pause takes the average from 60 W towards 5 W.
    const restedW = 5 + 55 * Math.exp(-20 / 25)
    expect(shortestBurstS).toBeCloseTo(25 * Math.log((100 - restedW) / 40), 0)
  })

  it('is told by bursts that a limit ended, not by those that ended with their run', () => {
    const stepped = known({ budgets: [], timedSteps: [step] })
    expect(plan(stepped, { loop: { gapS: 10, runS: 10 } }).shortestBurstS).toBeNull()
    const { value, low, high } = plan(stepped, { loop: { gapS: 0, runS: 20 } }).settleS
    expect([value, low, high]).toEqual([75, 75, 75].map((s) => expect.closeTo(s, 6)))
  })

  it('is a guess of twice the load that did not show it', () => {
    const { settleS, reason } = plan(known(), { settled: { reached: false, loadS: 90 } })
    expect(settleS).toEqual({ value: 180, low: 90, high: 360, level: 0.9 })
    expect(reason).toEqual({ code: 'not-settled-yet', loadS: 90 })
  })

  it('is told by heat where heat holds it, by the slowest of its stages', () => {
    const stages = [
      { rKPerW: 0.4, tauS: 10 },
      { rKPerW: 0.8, tauS: 150 },
    ]
    const thermal = { resistanceKPerW: exact(1.2), stages, ceilingC: 95, ambientC: 23 }
    const heat = { code: 'settles', by: 'heat' }
    expect(plan(known({ thermal })).reason).toEqual({ ...heat, slowestS: 150 })
    const terms = [
      { share: 0.3, tauS: 220 },
      { share: 0.7, tauS: 20 },
    ]
    expect(plan(known({ heatBudget: { limitW: exact(60), terms } })).reason).toEqual({
      ...heat,
      slowestS: 220,
    })
    // A temperature without a ceiling holds nothing.
    expect(plan(known({ thermal: { ...thermal, ceilingC: null } })).reason).toMatchObject({ by: 'budget' })
  })
})

it('machines are drawn evenly out of those that a chassis may be', () => {
  const peaks = drawMachines(known({ burstW: about(100, 5) }), 60).map(({ peakW }) => peakW)
  expect(peaks).toHaveLength(60)
  // 5 % on either side hold nine in ten.
  expect(peaks.filter((watts) => Math.abs(watts - 100) <= 5).length / 60).toBeCloseTo(0.9, 1)
  expect(peaks.filter((watts) => watts > 100).length / 60).toBeCloseTo(0.5, 1)
})
