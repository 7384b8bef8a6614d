import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { fittedTogether, logsOfSheets, scoredSheets } from '../../src/desk/state/desk.js'
import { sheetFields, withField } from '../../src/desk/state/sheetFields.js'
import { commandOfQuestion } from '../../src/desk/work/question.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'

const HERON = readFileSync('samples/heron.yaml', 'utf8')
const sheet = (id: string, text = HERON) => ({ id, file: `${id}.yaml`, text })

describe('the form of a sheet', () => {
  it('shows what the sheet says', () => {
    expect(sheetFields(HERON)).toMatchObject({
      machine: 'Heron 14',
      chip: 'Kestrel 16',
      ambient: '22.5 degC',
      score: 'points',
      better: 'higher',
      log: 'heron-loop.csv',
      trials: 1,
    })
    expect(sheetFields(HERON)!.scores.split('\n')[1]).toBe('29.8 s\t85.1 s\t13600')
  })

  it('changes one key and leaves the rest as it was written, comments too', () => {
    const text = withField(HERON, 'machine', 'Heron: "14" #2')
    expect(parseSheet(text, 'a.yaml').machine).toBe('Heron: "14" #2')
    expect(text.split('\n')[0]).toBe(HERON.split('\n')[0])
    expect(parseSheet(withField(text, 'ambient', ''), 'a.yaml').ambientC).toBe(null)
  })

  it('is nothing for a text that is no sheet, and leaves that alone', () => {
    expect(sheetFields('- a\n- b')).toBe(null)
    expect(sheetFields('a: [')).toBe(null)
    expect(withField('a: [', 'machine', 'x')).toBe('a: [')
  })
})

describe('sheets on a desk', () => {
  const other = withField(HERON, 'chip', 'Merlin 12')
  const desk = { logs: [], sheets: [sheet('a'), sheet('b', other), sheet('c')] }

  it('are fitted together when chip and workload are the same, the one that is asked about first', () => {
    expect(fittedTogether(desk, 'c').map(({ file }) => file)).toEqual(['c.yaml', 'a.yaml'])
    expect(fittedTogether(desk, 'b').map(({ file }) => file)).toEqual(['b.yaml'])
  })

  it('can be asked about once they have scores', () => {
    const bare = 'machine: a\nworkload:\n  name: b\n  score: points\ntrials:\n  - log: a.csv\n'
    expect(scoredSheets({ logs: [], sheets: [sheet('a', bare), sheet('b')] }).map(({ id }) => id)).toEqual([
      'b',
    ])
  })

  it('find their logs by name', () => {
    const logs = [{ name: 'heron-loop.csv' }, { name: 'other.csv' }]
    expect(logsOfSheets(logs, [sheet('a')])).toEqual([logs[0]])
  })
})

describe('the command of a question', () => {
  it('names limits that are supposed, and quotes names for a shell', () => {
    const target = { sustainedW: 71, burstW: 104, burstForS: 19, shortTermW: null, shortTermForS: null }
    const sheets = [{ file: "it's.yaml", text: '' }]
    expect(commandOfQuestion({ kind: 'project', sheets, target })).toBe(
      `holdwatt project 'it'\\''s.yaml' --sustained 71W --burst 104W --burst-for 19s`,
    )
  })
})
