import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { stagesOfLog } from '../../../src/machine/stagesOfLog.js'
import type { TestedMachine } from '../../../src/machine/testedMachine.js'
import { planNextTest } from '../../../src/predict/plan/planNextTest.js'
import { plannedTest, plannedTestOfLog } from '../../../src/predict/plan/plannedTest.js'
import { sayPlanReason } from '../../../src/show/text/sayPlanReason.js'
import { root } from '../../cli/commandLine.js'
import { oneBudget, powerLawChip } from '../fixtures.js'

const recording = parseLog(readFileSync(join(root, 'tests/recordings/two-cards.csv')), {
  power: 'card 0 power',
})

it('plans after the longest of several loads, says so, and warns of that one alone', () => {
  const { title, warnings, request } = plannedTestOfLog(
    'cards.csv',
    stagesOfLog(recording, { file: 'cards.csv' }),
  )
  expect(title).toBe('cards.csv, after its longest load (2 of 4)')
  // Nine rounds at a limit have settled; the others, which ended too soon, are not what is planned after.
  expect(warnings).toEqual([])
  expect(request.loop.runS).toBeGreaterThan(6)
  expect(request.loop.runS).toBeLessThan(7)
  expect(request.loop.gapS).toBeGreaterThan(1)
  expect(request.loop.gapS).toBeLessThan(6)
  const runs = planNextTest(request).reasons.find(({ code }) => code === 'runs')!
  expect(sayPlanReason(runs)).toMatch(/^\d steady runs of 6\.\d\ss for a mean within 1.%\.$/)
})

it('names no load of one', () => {
  const stages = stagesOfLog(recording, { file: 'cards.csv', load: 1 })
  const { title, warnings, request } = plannedTestOfLog('cards.csv', stages)
  expect(title).toBe('cards.csv')
  expect(warnings.map(({ code }) => code)).toEqual(['not-settled'])
  const [load] = stages.loads
  expect(request.settled).toEqual({ reached: false, loadS: load!.endS - load!.startS })
  expect(request.loop).toEqual({ gapS: 0, runS: null })
})

describe('after a test that was fitted', () => {
  const load = { startS: 100, endS: 700, stages: [], sustained: { reached: false } }
  const tested = (parts: object = {}, stages: readonly object[] = []) =>
    plannedTest({
      machine: 'heron',
      chip: powerLawChip(),
      chassis: oneBudget(),
      loop: { runs: 3, gapS: 7 },
      runs: [
        { startS: 100, endS: 160 },
        { startS: 170, endS: 240 },
        { startS: 250, endS: 350 },
        { startS: null, endS: null },
      ],
      scatter: { value: 0.004 },
      tests: [{ trials: [{ kind: 'logged', trial: { mode: null }, loads: [{ ...load, stages }] }] }],
      warnings: [{ code: 'rate-lags', lagS: 3 }],
      ...parts,
    } as unknown as TestedMachine)

  it('the next is planned with what is known of chip, chassis, loop, load and scatter', () => {
    const { request, title, warnings } = tested()
    expect(request).toEqual({
      chip: powerLawChip(),
      chassis: oneBudget(),
      loop: { gapS: 7, runS: 70 },
      settled: { reached: false, loadS: 600 },
      scatter: 0.004,
    })
    expect(title).toBe('heron')
    expect(warnings.map(({ code }) => code)).toEqual(['rate-lags'])
  })

  it('so is how long power that swings stays at one of its levels', () => {
    const swing = { lowW: 30, highW: 60, periodS: 20, highShare: 0.7 }
    expect(tested({}, [{}, { cycle: swing }]).request.settled.shorterPhaseS).toBeCloseTo(6, 9)
    expect(tested({}, [{ cycle: swing }, {}]).request.settled).not.toHaveProperty('shorterPhaseS')
  })

  it('runs noted without times have no length', () => {
    expect(tested({ runs: [{ startS: null, endS: null }] }).request.loop).toEqual({ gapS: 7, runS: null })
  })

  it('levels noted without a log count as settled', () => {
    expect(tested({ tests: [{ trials: [] }] }).request.settled).toEqual({ reached: true, loadS: 0 })
  })
})
