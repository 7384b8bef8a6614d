import { expect, it } from 'vitest'
import { USUAL_RUN_S } from '../../../src/physics/loop/usualLoop.js'
import { steadyRun } from '../../../src/predict/projection/steadyRun.js'
import { powerLawChip } from '../fixtures.js'

const held = {
  idleW: 5,
  peakW: 60,
  budgets: [],
  givesWay: 'headroom',
  heat: null,
  timedSteps: [],
  responseS: 1,
} as const
const rate = (powerW: number) => 2 * powerW
const loop = { runs: 10, gapS: 5 }

it('a steady run at 60 W scores the rate there, for as long as its work takes', () => {
  const { score, meanW, durationS } = steadyRun(held, { chip: powerLawChip(), rate }, loop)
  expect(score).toBeCloseTo(120, 6)
  expect(meanW).toBeCloseTo(60, 6)
  // 6000 of work at a rate of 120.
  expect(durationS).toBeCloseTo(50, 6)
})

it('lasts as long as usual where the work of a run is not known', () => {
  const chip = powerLawChip({ workPerRun: null })
  expect(steadyRun(held, { chip, rate }, loop).durationS).toBeCloseTo(USUAL_RUN_S, 6)
})

it('scores time where less is better', () => {
  const chip = powerLawChip({ workload: { name: 'build', score: 's', better: 'lower' } })
  expect(steadyRun(held, { chip, rate: () => 1 / 50 }, loop).score).toBeCloseTo(50, 6)
})

it('is the mean of the last three runs, not of the first ones', () => {
  const budget = { ...held, peakW: 100, budgets: [{ limitW: 60, tauS: 20 }] }
  const { meanW } = steadyRun(budget, { chip: powerLawChip(), rate }, { runs: 40, gapS: 0 })
  expect(meanW).toBeCloseTo(60, 1)
  const { meanW: early } = steadyRun(budget, { chip: powerLawChip(), rate }, { runs: 1, gapS: 0 })
  expect(early).toBeGreaterThan(65)
})

it('what never ends has no rate', () => {
  expect(steadyRun(held, { chip: powerLawChip(), rate: () => 0 }, loop).score).toBe(0)
})
