import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { projectScore } from '../../../src/predict/projection/projectScore.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const LOOP = { runs: 12, gapS: 0 }
const flat = (sustainedW: number) =>
  projectScore({ chip: powerLawChip(), target: { sustainedW }, loop: LOOP })

describe('a flat target', () => {
  test('scores what the curve says at that power, first and last run alike', () => {
    const { first, steady } = flat(60)
    expect(first.score.value).toBeCloseTo(100, 6)
    expect(steady.score.value).toBeCloseTo(100, 6)
    expect(steady.durationS!.value).toBeCloseTo(60, 6)
    expect(steady.meanW.value).toBeCloseTo(60, 6)
    expect(steady.energyWh!.value).toBeCloseTo(1, 6)
    expect(steady.perWatt.value).toBeCloseTo(100 / 60, 6)
  })

  test('is less sure the farther it is from where the curves agree', () => {
    const width = (sustainedW: number) => {
      const { score } = flat(sustainedW).steady
      return (score.high - score.low) / score.value
    }
    expect(width(60)).toBeLessThan(1e-6)
    expect(width(90)).toBeGreaterThan(0.03)
    expect(width(120)).toBeGreaterThan(width(90))
  })

  test('outside the measured powers is said to be so', () => {
    expect(flat(65).extrapolation.outside).toBe(false)
    const far = flat(95)
    expect(far.extrapolation.outside).toBe(true)
    expect(far.warnings).toContainEqual({ code: 'extrapolated', measuredRangeW: [50, 70], powerW: 95 })
  })
})

describe('energy, power and time', () => {
  test('energy is mean power times time, whatever the target', () => {
    const targets = fc.record({
      sustainedW: fc.double({ min: 30, max: 80, noNaN: true }),
      burst: fc.double({ min: 1.1, max: 2, noNaN: true }),
      burstForS: fc.double({ min: 2, max: 90, noNaN: true }),
      gapS: fc.constantFrom(0, 5, 12),
    })
    fc.assert(
      fc.property(targets, ({ sustainedW, burst, burstForS, gapS }) => {
        const chip = powerLawChip({}, 0.5, 0)
        const target = { sustainedW, burstW: sustainedW * burst, burstForS }
        const { first, steady } = projectScore({ chip, target, loop: { runs: 6, gapS }, idleW: 4 })
        for (const run of [first, steady]) {
          expect((run.energyWh!.value * 3600) / (run.meanW.value * run.durationS!.value)).toBeCloseTo(1, 6)
        }
        expect(first.score.value).toBeGreaterThanOrEqual(steady.score.value * (1 - 1e-6))
      }),
      { numRuns: 25 },
    )
  })

  test('a longer hold never lowers the first score', () => {
    let last = 0
    for (const burstForS of [3, 6, 12, 25, 50, 100]) {
      const target = { sustainedW: 50, burstW: 90, burstForS }
      const { first } = projectScore({ chip: powerLawChip(), target, loop: LOOP, idleW: 5 })
      expect(first.score.value).toBeGreaterThanOrEqual(last)
      last = first.score.value
    }
  })

  test('a chassis without limits gives what the workload asks for', () => {
    const chip = powerLawChip({ demandW: 75 })
    const { steady } = projectScore({ chip, target: { sustainedW: 500 }, loop: LOOP })
    expect(steady.meanW.value).toBeCloseTo(75, 6)
  })

  test('pauses let a burst come back, so that the steady run scores more than the sustained power alone', () => {
    const target = { sustainedW: 60, burstW: 100, burstForS: 20 }
    const at = (gapS: number) =>
      projectScore({ chip: powerLawChip(), target, loop: { runs: 12, gapS }, idleW: 5 }).steady.score.value
    expect(at(0)).toBeCloseTo(100, 3)
    expect(at(8)).toBeGreaterThan(101)
  })
})

describe('a time for fixed work', () => {
  test('falls as power rises, and counts runs per watt-hour', () => {
    const chip = powerLawChip({
      workload: { name: 'tile render', score: 's', better: 'lower' },
      draws: [{ weight: 1, curve: { shape: 'power-law', scale: 1 / 60 / 60 ** 0.5, exponent: 0.5 } }],
      workPerRun: about(1, 0.1),
    })
    const at = (sustainedW: number) => projectScore({ chip, target: { sustainedW }, loop: LOOP }).steady
    expect(at(60).score.value).toBeCloseTo(60, 6)
    expect(at(60).durationS!.value).toBeCloseTo(60, 6)
    expect(at(90).score.value).toBeLessThan(60)
    expect(at(60).perWatt.value).toBeCloseTo(3600 / (60 * 60), 6)
  })
})

describe('what is not known', () => {
  test('a run of unknown work has no duration and no energy, with a warning', () => {
    const chip = powerLawChip({ workPerRun: null })
    const { steady, warnings } = projectScore({ chip, target: { sustainedW: 60 }, loop: LOOP })
    expect(steady.durationS).toBeNull()
    expect(steady.energyWh).toBeNull()
    expect(warnings).toContainEqual({ code: 'run-length-unknown', supposedS: 60 })
  })

  test('the uncertainty of a fitted chassis is carried into the score', () => {
    const chip = powerLawChip({}, 0.5, 0)
    const width = (percent: number) => {
      const budgets = [{ limitW: about(60, percent), tauS: about(25, 2) }]
      const { score } = projectScore({ chip, target: oneBudget({ budgets }), loop: LOOP }).steady
      return (score.high - score.low) / score.value
    }
    // Half the relative width of the power, as the score goes with its root.
    expect(Math.abs(width(4) / 0.04 - 1)).toBeLessThan(0.15)
    expect(width(0.5)).toBeLessThan(width(4) / 4)
  })
})

describe('against the machine as tested', () => {
  test('the change holds the scatter of the measured runs', () => {
    const at = (percent: number) =>
      projectScore({
        chip: powerLawChip({}, 0.5, 0),
        target: { sustainedW: 60 },
        loop: LOOP,
        asTested: { firstScore: about(80, percent), steadyScore: null },
      }).change
    expect(at(1).firstPct!.value).toBeCloseTo(25, 6)
    expect(at(1).steadyPct).toBeNull()
    const width = (percent: number) => at(percent).firstPct!.high - at(percent).firstPct!.low
    expect(width(1) / 2.5).toBeCloseTo(1, 2)
    expect(width(2) / width(1)).toBeCloseTo(2, 2)
  })

  test('more power than the machine was seen to hold comes with cautions, less comes without', () => {
    const cautions = (sustainedW: number) =>
      projectScore({ chip: powerLawChip(), target: { sustainedW }, loop: LOOP, tested: oneBudget() }).cautions
    expect(cautions(90)).toEqual(['raised-limits', 'hot-surfaces', 'battery-and-mains', 'makers-limits'])
    expect(cautions(50)).toEqual([])
  })
})

describe('a sweep', () => {
  test('rises with the sustained power and agrees with single projections', () => {
    const chip = powerLawChip()
    const sweepW = [40, 50, 60, 70]
    const { sweep } = projectScore({ chip, target: { sustainedW: 60 }, loop: LOOP, sweepW })
    expect(sweep.map((point) => point.sustainedW)).toEqual(sweepW)
    sweep.forEach((point, i) => {
      expect(point.steady.score.value).toBeCloseTo(flat(point.sustainedW).steady.score.value, 9)
      if (i > 0) expect(point.steady.score.value).toBeGreaterThan(sweep[i - 1]!.steady.score.value)
    })
  })
})

test('the drawn trace is the loop: its energy is that of the runs', () => {
  const chip = powerLawChip({}, 0.5, 0)
  const target = { sustainedW: 60, burstW: 100, burstForS: 20 }
  const { trace, first } = projectScore({ chip, target, loop: { runs: 1, gapS: 0 }, idleW: 5 })
  let joules = 0
  for (let i = 1; i < trace.timesS.length; i++) {
    joules += trace.powerW[i]! * (trace.timesS[i]! - trace.timesS[i - 1]!)
  }
  expect(joules / 3600 / first.energyWh!.value).toBeCloseTo(1, 6)
})
