import { describe, expect, it } from 'vitest'
import { readPaths } from '../../src/cli/archive/paths/readPaths.js'
import { sheetFields } from '../../src/desk/state/sheetFields.js'
import { InputError } from '../../src/errors.js'
import { parseLog } from '../../src/log/parseLog.js'
import { parseReasonBits } from '../../src/log/reasons/reasonBits.js'
import { draftSheet } from '../../src/machine/draftSheet.js'
import { watchScore } from '../../src/record/session/watchScore.js'
import { parseLoadChoice } from '../../src/sheet/draft/loadChoice.js'
import { logsNaming } from '../../src/sheet/draft/logsNaming.js'
import { parseMetrics } from '../../src/sheet/draft/metricColumns.js'
import { parseReviewTable } from '../../src/sheet/draft/parseReviewTable.js'
import { parseScoreTable } from '../../src/sheet/draft/parseScoreTable.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { uniqueName } from '../../src/show/charts/uniqueName.js'
import { processorSeconds } from '../processorSeconds.js'

// A text of 20,000 characters wherever a file may hold one: patterns that try every split of it would take seconds to hours.

const LENGTH = 20_000
/** What patterns of numbers, units, times, lists and nests repeat. */
const REPEATED = [
  ' ',
  '9',
  'a ',
  '.',
  ',',
  '-',
  '(',
  '[',
  '{',
  '"',
  '1 ',
  ':',
  '0x',
  '\u00a0',
  'core ',
  'bit ',
  '1e',
  '\u200b',
]
const texts = REPEATED.flatMap((part) =>
  ['', '1'].map((start) => `${start}${part.repeat(LENGTH / part.length)}!`),
)

const inCell = (text: string) => text.replace(/[",\n]/g, ';')
const quoted = (text: string) => JSON.stringify(text)
const csv = (text: string) => `"${text.replaceAll('"', '""')}"`
const sheet = (value: string, key: string) =>
  ['machine', 'ambient', 'name', 'log', 'power', 'bits', 'start', 'score'].reduce(
    (text, name) => text.replace(`<${name}>`, name === key ? quoted(value) : name === 'score' ? '5' : '1 s'),
    `machine: <machine>\nchip: K\nchassis: S\nambient: <ambient>\nworkload:\n  name: <name>\n  score: points\n  better: higher\ntrials:\n  - log: <log>\n    power: <power>\n    bits: <bits>\n    runs: [{ start: <start>, end: 2 s, score: <score> }]\n`,
  )

const READERS: { readonly [place: string]: (text: string) => unknown } = {
  'a power': (text) => parseLog(`time_s,power_w\n0,5\n1,${csv(text)}\n2,5\n3,5\n`),
  'a time': (text) =>
    parseLog(`time,power_w\n2026-01-01 00:00:00,5\n${inCell(text)},4\n2026-01-01 00:00:02,5\n`),
  'a heading': (text) => parseLog(`time_s,${inCell(text)},power_w\n0,5,5\n1,5,5\n2,5,5\n`),
  'a reason': (text) => parseLog(`time_s,power_w,throttle reason\n0,5,none\n1,5,${inCell(text)}\n2,5,heat\n`),
  'a pair': (text) =>
    parseLog(`Time,1,Watts,5\nTime,2,Watts,${inCell(text)}\nTime,3,Watts,5\nTime,4,Watts,5\n`),
  'names of bits': parseReasonBits,
  'a score of a table': (text) => parseScoreTable(`run,points\n1,${csv(text)}\n`, { file: 'x' }),
  'a time of a table': (text) => parseScoreTable(`start,score\n${csv(text)},5\n`, { file: 'x' }),
  'the heading of a table': (text) =>
    draftSheet({
      loads: [],
      chosen: [],
      scores: parseScoreTable(`score ${csv(text).slice(1, -1)}\n5\n`, { file: 'x', score: `score ${text}` }),
      workload: null,
    }),
  'a cell of the table of a review': (text) =>
    parseReviewTable(`workload,mode,points\n${csv(text)},${csv(text)},${csv(text)}\n`, { file: 'x' }),
  'a heading of the table of a review': (text) =>
    parseReviewTable(`workload,${csv(text)},${csv(text)}\na,5,6\n`, { file: 'x' }),
  'names of metrics': parseMetrics,
  'which load a workload is': parseLoadChoice,
  'the path of a log': (text) => logsNaming([text, `${text} b`], (log) => log, text, [text, `${text} 14`]),
  'a whole sheet': (text) => parseSheet(text, 'a.yaml'),
  'a sheet on the desk': sheetFields,
  'a name of a chart': (text) => uniqueName(text, new Set()),
  ...Object.fromEntries(
    ['machine', 'ambient', 'name', 'bits', 'start', 'score'].map((key) => [
      `${key} of a sheet`,
      (text: string) => parseSheet(sheet(text, key), 'a.yaml'),
    ]),
  ),
}

describe('a very long text', () => {
  it.each(Object.keys(READERS))('as %s is read or refused at once', (place) => {
    for (const text of texts) {
      const before = process.cpuUsage()
      try {
        READERS[place]!(text)
      } catch (error) {
        if (!(error instanceof InputError)) throw error
      }
      expect(processorSeconds(before), JSON.stringify(text.slice(0, 20))).toBeLessThan(SOON_S)
    }
  })

  it('as a path is a name that nobody has, and no pattern', async () => {
    for (const text of texts)
      expect(await readPaths([text], ['.csv'])).toEqual({ paths: [text], named: true, faults: [] })
  })

  it('that a command prints delays no sample, whatever pattern finds the score', () => {
    const watch = watchScore(/.*score.*: (\d+)/, { name: 'w', score: 'points', better: 'higher' })
    const before = process.cpuUsage()
    watch.read(Buffer.from(`${'.'.repeat(LENGTH)}\n`), 'out')
    watch.read(Buffer.from('the score: 7\n'), 'out')
    expect(watch.end()).toEqual({ score: 7 })
    expect(processorSeconds(before)).toBeLessThan(SOON_S)
  })
})

/** Processor time, s: ten times what the slowest takes when the machine is quiet. */
const SOON_S = 3
