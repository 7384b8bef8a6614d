import { describe, expect, test } from 'vitest'
import { planNextTest } from '../../../src/predict/plan/planNextTest.js'
import type { PlanRequest } from '../../../src/predict/plan/planRequest.js'
import { sayPlanReason } from '../../../src/show/text/sayPlanReason.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const flat = oneBudget({ burstW: about(60, 0.5), burstHoldS: null, budgets: [] })
const request: PlanRequest = {
  chassis: flat,
  chip: null,
  loop: { gapS: 5, runS: 50 },
  settled: { reached: true, loadS: 900 },
  scatter: 0.004,
}
const tooShort = { reached: false, loadS: 80 }

describe('a plan says why, in the order in which a test is made', () => {
  test('of a machine that nothing holds: three runs at once, a sample a second', () => {
    const plan = planNextTest(request)
    expect(plan).toMatchObject({ settleS: { value: 0 }, runsNeeded: 3, sampleEveryS: 1, nextMode: null })
    expect(plan.reasons).toEqual([
      { code: 'settles-at-once' },
      { code: 'runs', before: 0, steady: 3, runS: 50, runSupposed: false },
      expect.objectContaining({ code: 'rest-supposed' }),
      { code: 'sampling-no-burst' },
    ])
  })

  test('of one whose log ended after 80 s: as many runs of a minute as fill twice that, and three more', () => {
    const plan = planNextTest({ ...request, settled: tooShort, loop: { gapS: 5, runS: null } })
    // 160 s are three times a run and its pause.
    expect(plan.runsNeeded).toBe(6)
    expect(plan.reasons.slice(0, 2)).toEqual([
      { code: 'not-settled-yet', loadS: 80 },
      { code: 'runs', before: 3, steady: 3, runS: 60, runSupposed: true },
    ])
    expect(planNextTest({ ...request, settled: tooShort }).runsNeeded).toBe(Math.ceil(160 / 55) + 3)
    expect(planNextTest({ ...request, settled: tooShort, loop: { gapS: 0, runS: 20 } }).runsNeeded).toBe(
      8 + 3,
    )
  })

  test('of one that bursts: five samples in the burst', () => {
    const { sampleEveryS, reasons } = planNextTest({ ...request, chassis: oneBudget() })
    const burst = reasons.find(({ code }) => code === 'sampling-burst')!
    expect(burst).toMatchObject({ samples: 5 })
    const { shortestBurstS } = burst as { readonly shortestBurstS: number }
    expect(5 * sampleEveryS).toBeLessThanOrEqual(shortestBurstS)
  })

  test('of one whose power swings: five samples in its shorter phase, where no burst is shorter', () => {
    const planned = (shorterPhaseS: number) =>
      planNextTest({
        ...request,
        chassis: oneBudget(),
        settled: { reached: true, loadS: 900, shorterPhaseS },
      })
    const { sampleEveryS, reasons } = planned(2.8)
    expect(sampleEveryS).toBe(0.5)
    expect(reasons).toContainEqual({ code: 'sampling-swing', shorterPhaseS: 2.8, samples: 5 })
    expect(reasons.map(sayPlanReason).join()).toMatch(
      /its shorter phase lasts 2\.8\ss: 5 samples in it show both/,
    )
    expect(planned(500).reasons.map(({ code }) => code)).toContain('sampling-burst')
  })
})

describe('steady runs', () => {
  const steady = (scatter: number | null) => planNextTest({ ...request, scatter }).runsNeeded

  test('are as many as bring their mean to within 1 % nine times in ten: (1.645 x scatter / 0.01) squared', () => {
    expect([0.004, 0.0105, 0.0106, 0.0122, 0.03].map(steady)).toEqual([3, 3, 4, 5, 25])
  })

  test('are three where the scatter is not known: it is taken for half a per cent', () => {
    expect(steady(null)).toBe(3)
  })
})

describe('a further power mode', () => {
  const chip = powerLawChip({}, 0.5, 0.1)
  const mode = (scatter: number | null, burstW = 100) =>
    planNextTest({ ...request, chip, scatter, chassis: { ...flat, burstW: about(burstW, 0.5) } })

  test('is the last of the reasons, within what the machine was seen to draw', () => {
    const { nextMode, reasons } = mode(0.004)
    expect(reasons.at(-1)).toEqual({ code: 'next-mode', ...nextMode })
    expect(mode(0.004, 72).nextMode!.powerW).toBeLessThanOrEqual(72)
  })

  test('promises the less the more runs scatter, half a per cent where that is not known', () => {
    const widthAfter = (scatter: number | null) => mode(scatter).nextMode!.widthAfterPct
    expect(widthAfter(null)).toBe(widthAfter(0.005))
    expect(widthAfter(0.02)).toBeGreaterThan(widthAfter(0.005))
  })

  test('is none without a chip, or where none would tell much', () => {
    const sure = planNextTest({ ...request, chip: powerLawChip({}, 0.5, 0) })
    expect(sure.nextMode).toBeNull()
    expect(sure.reasons.at(-1)).toEqual({ code: 'sampling-no-burst' })
  })
})
