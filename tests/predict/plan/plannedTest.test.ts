import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { parseLog } from '../../../src/log/parseLog.js'
import { stagesOfLog } from '../../../src/machine/stagesOfLog.js'
import { planNextTest } from '../../../src/predict/plan/planNextTest.js'
import { plannedTestOfLog } from '../../../src/predict/plan/plannedTest.js'
import { sayPlanReason } from '../../../src/show/text/sayPlanReason.js'
import { root } from '../../cli/commandLine.js'

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
  const runs = planNextTest(request).reasons.find(({ code }) => code === 'runs')!
  expect(sayPlanReason(runs)).toMatch(/^\d steady runs of 6\.\d\ss for a mean within 1.%\.$/)
})

it('names no load of one', () => {
  const stages = stagesOfLog(recording, { file: 'cards.csv', load: 1 })
  const { title, warnings } = plannedTestOfLog('cards.csv', stages)
  expect(title).toBe('cards.csv')
  expect(warnings.map(({ code }) => code)).toEqual(['not-settled'])
})
