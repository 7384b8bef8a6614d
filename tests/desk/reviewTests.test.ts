import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { fitQuestion, fittedTogether, scoredSheets, sheetFile } from '../../src/desk/state/desk.js'
import { checkedDesk, formatDesk, parseDesk } from '../../src/desk/state/deskFile.js'
import { askedTest, reviewTests } from '../../src/desk/state/reviewTests.js'
import { sheetFields, withField } from '../../src/desk/state/sheetFields.js'
import { optionsOfTrial } from '../../src/desk/state/trialOptions.js'
import { commandOfQuestion } from '../../src/desk/work/question.js'
import { parseReview } from '../../src/sheet/parseReview.js'

const HERON = readFileSync('samples/review/heron-14.yaml', 'utf8')
const IBIS = readFileSync('samples/review/ibis-15.yaml', 'utf8')
const sheet = (asked?: string, text = HERON, id = 'heron-14') => ({
  ...{ id, file: `${id}.yaml`, text },
  ...(asked === undefined ? {} : { asked }),
})

describe('a sheet of many workloads on the desk', () => {
  it('has its workloads by each metric to choose from, in all modes and in one, but for those without power', () => {
    const tests = reviewTests(HERON)!
    expect(tests.slice(0, 3)).toEqual([
      'mosaic render, all threads',
      'mosaic render, all threads @ mains',
      'mosaic render, all threads @ battery',
    ])
    expect(tests).toContain('marsh flight, low @ battery')
    expect(tests.filter((test) => test.includes('nest copy'))).toEqual([])
    expect(tests).toHaveLength(8 * 3)
    expect(reviewTests(readFileSync('samples/heron.yaml', 'utf8'))).toBe(null)
    expect(reviewTests('workloads: [\n')).toBe(null)
  })

  it('shows the test that was chosen, else the first, as a sheet of it alone would be', () => {
    expect([askedTest(sheet()), askedTest(sheet('gone'))]).toEqual(Array(2).fill(reviewTests(HERON)![0]))
    const asked = 'film encode @ battery'
    expect(sheetFields(HERON, askedTest(sheet(asked)))).toMatchObject({
      ...{ machine: 'Heron 14', workload: 'film encode', score: 's', better: 'lower' },
      ...{ log: 'heron-14-battery.csv', load: '6', trials: 1, scored: 1 },
    })
    expect(sheetFields(HERON, asked)!.scores.split('\n')[1]).toMatch(/^\d+\.\d s\t\d+\.\d s\t111\.8$/)
  })

  it('keeps every other workload when a name is changed', () => {
    const text = withField(HERON, 'machine', 'Heron 14 mark II')
    const of = (each: string) =>
      parseReview(each, 'a.yaml').tests.map(({ task, metric, mode, sheet: { trials } }) => [
        task,
        metric,
        mode,
        trials.length,
      ])
    expect(of(text)).toEqual(of(HERON))
  })

  it('is asked about by the name that commands take, and is fitted with those of the same chip and workload', () => {
    const asked = 'film encode @ battery'
    const desk = {
      logs: [],
      sheets: [
        sheet(asked),
        sheet(asked, withField(IBIS, 'chip', 'Kestrel 16'), 'ibis'),
        sheet(undefined, HERON, 'other'),
      ],
    }
    expect(scoredSheets(desk)).toHaveLength(3)
    expect(fittedTogether(desk, 'heron-14').map(({ file }) => file)).toEqual(['heron-14.yaml', 'ibis.yaml'])
    expect(commandOfQuestion(fitQuestion(desk, 'heron-14'))).toBe(
      "holdwatt fit 'heron-14.yaml#film encode @ battery' 'ibis.yaml#film encode @ battery'",
    )
    expect(sheetFile(sheet(undefined, readFileSync('samples/heron.yaml', 'utf8')))).not.toHaveProperty(
      'asked',
    )
  })

  it('is kept and saved with what was chosen', async () => {
    const desk = { logs: [], sheets: [sheet('film encode'), sheet(undefined, IBIS, 'ibis')] }
    expect(parseDesk(await formatDesk(desk, new Map())).desk).toEqual(desk)
    expect(checkedDesk(desk)).toEqual(desk)
  })

  it('says how its logs are read', () => {
    const text = HERON.replace('load: 1\n', 'load: 1\n    power: "Package power [W]"\n')
    expect(optionsOfTrial(text, 'heron-14-mains.csv')).toEqual({ power: 'Package power [W]' })
  })
})
