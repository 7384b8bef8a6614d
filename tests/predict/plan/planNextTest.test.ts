import { describe, expect, test } from 'vitest'
import { fitChip } from '../../../src/fit/chip/fitChip.js'
import { averageAfter } from '../../../src/physics/chassis/powerBudget.js'
import { planNextTest } from '../../../src/predict/plan/planNextTest.js'
import { projectScore } from '../../../src/predict/projection/projectScore.js'
import { sayPlanReason } from '../../../src/show/text/sayPlanReason.js'
import { randomStream } from '../../worlds/randomStream.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const twoBudgets = oneBudget({
  shortTermW: about(80, 0.5),
  shortTermHoldS: about(60),
  budgets: [
    { limitW: about(80, 0.5), tauS: about(8, 2) },
    { limitW: about(60, 0.5), tauS: about(70, 2) },
  ],
})

const request = {
  chassis: twoBudgets,
  chip: null,
  loop: { gapS: 5, runS: 50 },
  settled: { reached: true, loadS: 900 },
  scatter: 0.004,
}

describe('a plan', () => {
  test('tests until runs no longer differ, and three runs more', () => {
    const { settleS, runsNeeded } = planNextTest(request)
    const chip = powerLawChip({ workPerRun: about(50 * 100, 0.1) }, 0.5, 0)
    const { trace } = projectScore({ chip, target: twoBudgets, loop: { runs: 20, gapS: 5 } })
    // The power of the drawn loop falls to the sustained level for the first time about when the plan says.
    const firstS = trace.timesS[trace.powerW.findIndex((w) => w > 6 && w < 62)]!
    expect(settleS.low).toBeLessThan(firstS + 55)
    expect(settleS.high).toBeGreaterThan(firstS - 55)
    expect(runsNeeded).toBe(Math.ceil(settleS.value / 55) + 3)
  })

  test('rests until no more than 2 % of the load is left in the slowest average', () => {
    const { restS, reasons } = planNextTest({
      ...request,
      chassis: oneBudget({ budgets: [{ limitW: about(60), tauS: about(300, 2) }] }),
    })
    const leftW = averageAfter(60, { powerW: 5, forS: restS.value, tauS: 300 }) - 5
    expect(leftW / 55).toBeCloseTo(0.02, 6)
    expect(reasons.map((reason) => reason.code)).toContain('rest')
  })

  test('rests for the heat sink where that is slower, and says when it had to suppose one', () => {
    const thermal = {
      resistanceKPerW: about(1.1),
      stages: [
        { rKPerW: 0.4, tauS: 3 },
        { rKPerW: 0.7, tauS: 400 },
      ],
      ceilingC: null,
      ambientC: 22,
    }
    const known = planNextTest({ ...request, chassis: { ...twoBudgets, thermal } })
    expect((0.7 * Math.exp(-known.restS.value / 400)) / 1.1).toBeCloseTo(0.02, 3)
    const supposed = planNextTest(request)
    expect(supposed.reasons.map((reason) => reason.code)).toContain('rest-supposed')
    expect(supposed.restS.high / supposed.restS.low).toBeGreaterThan(known.restS.high / known.restS.low)
  })

  test('samples five times in the shortest burst', () => {
    const { sampleEveryS, reasons } = planNextTest(request)
    const burst = reasons.find((reason) => reason.code === 'sampling-burst')!
    expect(5 * sampleEveryS).toBeLessThanOrEqual('shortestBurstS' in burst ? burst.shortestBurstS : 0)
    const flat = planNextTest({ ...request, chassis: oneBudget({ budgets: [], burstW: about(60, 0.5) }) })
    expect(flat.sampleEveryS).toBe(1)
    expect(flat.settleS.value).toBe(0)
  })

  test('of a log that ended too early asks for a longer one', () => {
    const { settleS, reasons } = planNextTest({ ...request, settled: { reached: false, loadS: 80 } })
    expect(settleS).toMatchObject({ value: 160, low: 80 })
    expect(reasons.map((reason) => reason.code)).toContain('not-settled-yet')
  })

  test('asks for more steady runs where runs scatter', () => {
    const runs = (scatter: number) => planNextTest({ ...request, scatter }).runsNeeded
    expect(runs(0.03) - runs(0.004)).toBe(Math.ceil((1.6449 * 3) ** 2) - 3)
  })

  test('says every reason in a sentence', () => {
    for (const reason of planNextTest({ ...request, chip: powerLawChip({}, 0.5, 0.1) }).reasons) {
      expect(sayPlanReason(reason)).toMatch(/^[A-Z0-9].*\.$/)
    }
  })
})

describe('the next power mode', () => {
  const workload = { name: 'tile render', score: 'points', better: 'higher' } as const
  const truth = (powerW: number) => 1000 * ((powerW - 8) / 52) ** 0.52
  const random = randomStream(21)
  const runAt = (powerW: number, i: number) => ({
    sheet: 'x',
    startS: 70 * i,
    endS: 70 * i + 60,
    score: truth(powerW) * (1 + 0.004 * random.normal()),
    profile: { powersW: [powerW], secondsS: [60], meanW: powerW },
  })
  const chipOf = (powersW: readonly number[]) =>
    fitChip({ name: 'Kestrel 16', workload, runs: powersW.map((powerW, i) => runAt(powerW, i)) })
  const width = (chip: ReturnType<typeof chipOf>['chip'], rangeW: readonly [number, number]) => {
    const aims = Array.from({ length: 7 }, (_, i) => rangeW[0] * (rangeW[1] / rangeW[0]) ** (i / 6))
    const widths = aims.map((sustainedW) => {
      const { score } = projectScore({ chip, target: { sustainedW }, loop: { runs: 3, gapS: 0 } }).steady
      return score.high / score.low - 1
    })
    return (100 * widths.reduce((a, b) => a + b, 0)) / widths.length
  }

  test('narrows projections about as much as it promises, when the runs are made', () => {
    const powersW = [60, 60.4, 59.8, 60.1, 60.3, 59.9]
    const before = chipOf(powersW)
    const plan = planNextTest({
      ...request,
      chip: before.chip,
      chassis: oneBudget({ burstW: about(90, 0.5) }),
    })
    const mode = plan.nextMode!
    expect(mode.widthAfterPct).toBeLessThan(0.9 * mode.widthBeforePct)
    const after = chipOf([...powersW, mode.powerW, mode.powerW, mode.powerW])
    const [was, is] = [width(before.chip, mode.rangeW), width(after.chip, mode.rangeW)]
    expect(Math.abs(was / mode.widthBeforePct - 1)).toBeLessThan(0.35)
    expect(is / mode.widthAfterPct).toBeGreaterThan(0.4)
    expect(is / mode.widthAfterPct).toBeLessThan(2)
    expect(is).toBeLessThan(0.85 * was)
  })

  test('is not proposed above what the machine was seen to draw, nor where it would tell little', () => {
    const chip = powerLawChip({}, 0.5, 0.1)
    const mode = planNextTest({ ...request, chip, chassis: oneBudget({ burstW: about(72, 0.5) }) }).nextMode
    expect(mode!.powerW).toBeLessThanOrEqual(72)
    expect(planNextTest({ ...request, chip: powerLawChip({}, 0.5, 0) }).nextMode).toBeNull()
  })
})
