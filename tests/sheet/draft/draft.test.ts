import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { Load } from '../../../src/segment/load.js'
import { formatDraft } from '../../../src/sheet/draft/formatDraft.js'
import { parseScoreTable } from '../../../src/sheet/draft/parseScoreTable.js'
import { type DraftLoad, placeScores } from '../../../src/sheet/draft/placeScores.js'
import { runInside } from '../../cli/commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-draft-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const estimate = (value: number) => ({ value, low: value - 1, high: value + 1, level: 0.9 })

/** A load with runs of the given edges, in a log that began at 14:00:00. */
function load(number: number, runs: readonly (readonly [number, number])[]): DraftLoad {
  const found: Load = {
    startS: runs[0]![0],
    endS: runs.at(-1)![1],
    stages: [],
    sustained: { reached: true, levelW: estimate(44), fromS: 0, settleAfterS: null, bounds: null },
    runs: runs.map(([startS, endS]) => ({ startS, endS, meanW: 44, energyWh: 1 })),
    noiseW: 0.1,
    autocorrelation: 0,
    spikesAtS: [],
    showsInstants: false,
  }
  return { log: 'wren.csv', number, load: found, trace: { startOfDayS: 14 * 3600, startEpochS: null } }
}

const read = (text: string, score?: string) => parseScoreTable(text, { file: 'scores.csv', score })

describe('a table of scores', () => {
  it('is read from CSV, from tabs and from what was pasted, its score column found by name or by being the only numbers', () => {
    expect(read('run,score\n1,15210\n2,15010\n').rows.map(({ score }) => score)).toEqual(['15210', '15010'])
    expect(read('start\tpoints\n12 s\t15 210\n').rows[0]).toMatchObject({
      score: '15 210',
      start: { elapsedS: 12 },
    })
    expect(read('fps;low\n60;40\n', 'low').rows[0]!.score).toBe('40')
  })

  it('has headings in other languages, decimal commas, and times in the unit of their heading', () => {
    const { scoreColumn, rows } = read(
      'Test;Beginn;Ende [min];Punkte\nSingen;14:00:11;1,5;1.204,5\nSingen;;;998,25\n',
    )
    expect(scoreColumn).toBe('Punkte')
    expect(rows[0]).toMatchObject({ workload: 'Singen', score: '1204.5', end: { elapsedS: 90 } })
    expect([rows[0]!.start!.ofDayS, rows[1]!.score]).toEqual([50411, '998.25'])
    expect(read('start_s,end_s,points\n12,71,5\n').rows[0]).toMatchObject({
      start: { elapsedS: 12 },
      end: { elapsedS: 71 },
      score: '5',
    })
    expect(read('time [s]\n12\n').rows[0]).toMatchObject({ score: '12', start: null })
  })

  it.each([
    ['', 'scores-empty'],
    ['score\n', 'scores-empty'],
    ['fps,low\n60,40\n', 'score-column-ambiguous'],
    ['name\nwren\n', 'score-column-missing'],
    ['score,start\n1,noon\n', 'unit-unknown|run-time-invalid|quantity-unreadable'],
    ['score,load\n1,second\n', 'load-number'],
  ])('%j is refused', (text, code) => {
    expect(() => read(text)).toThrow(expect.objectContaining({ code: expect.stringMatching(code) }))
  })
})

describe('a score', () => {
  const loop = load(1, [
    [10, 70],
    [75, 135],
    [140, 200],
  ])

  it('goes to the run at its time: elapsed, or a time of day in the clock of the log', () => {
    const rows = read('start,score\n76 s,2\n14:00:11,1\n').rows
    const placed = placeScores([loop], rows)
    expect(placed.byLoad.get(loop)).toMatchObject([
      { score: '1', startS: 11, endS: 70 },
      { score: '2', startS: 76, endS: 135 },
    ])
    expect(placed.unplaced).toEqual([])
  })

  it('goes by order where there are as many scores as runs, and nowhere otherwise', () => {
    expect(
      placeScores([loop], read('score\n3\n2\n1\n').rows)
        .byLoad.get(loop)!
        .map(({ score }) => score),
    ).toEqual(['3', '2', '1'])
    const { unplaced, byLoad } = placeScores([loop], read('score\n3\n2\n').rows)
    expect(byLoad.get(loop)).toEqual([])
    expect(unplaced.map(({ line, reason }) => [line, reason])).toEqual([
      [2, '2 scores without times, and 3 runs in the log'],
      [3, '2 scores without times, and 3 runs in the log'],
    ])
  })

  it('of an uninterrupted loop is left to the reader of the sheet, or ends where the next one starts', () => {
    const whole = load(1, [[10, 200]])
    expect(placeScores([whole], read('score\n3\n2\n').rows).byLoad.get(whole)).toMatchObject([
      { score: '3', startS: null, endS: null },
      { score: '2', startS: null, endS: null },
    ])
    expect(placeScores([whole], read('start,score\n10,3\n80,2\n').rows).byLoad.get(whole)).toMatchObject([
      { score: '3', startS: 10, endS: 80 },
      { score: '2', startS: 80, endS: 200 },
    ])
  })

  it('keeps the end that its row says, a little after the load as well, and is listed where the log has no such clock', () => {
    expect(placeScores([loop], read('start,end,score\n142,201.5,1\n').rows).byLoad.get(loop)).toMatchObject([
      { startS: 142, endS: 201.5 },
    ])
    const dated = 'start,end,score\n142,2026-03-01 14:02:10,1\n'
    expect(placeScores([loop], read(dated).rows).unplaced).toHaveLength(1)
  })

  it('at a time without a run is listed with the reason', () => {
    const { unplaced } = placeScores([loop], read('start,score\n5000,1\n').rows)
    const reason = expect.stringMatching(
      /^no run of the log is at its time: its load is from \d+ s to \d+ s$/,
    )
    expect(unplaced).toEqual([{ line: 2, score: '1', reason }])
    const clocked = { ...loop, trace: { ...loop.trace, startOfDayS: 13 * 3600 + 40 * 60 } }
    const late = placeScores([clocked], read('start,score\n15:02:10,1\n').rows).unplaced
    expect(late[0]!.reason).toMatch(/its load is from 13:4\d:\d\d to 13:4\d:\d\d$/)
  })

  it('takes as many runs as its row says that it is the mean of, and is left out where they do not fit', () => {
    expect(placeScores([loop], read('score,runs\n3,1\n2,2\n').rows).byLoad.get(loop)).toEqual([
      { line: 2, score: '3', startS: 10, endS: 70 },
      { line: 3, score: '2', startS: 75, endS: 200, of: 2 },
    ])
    expect(placeScores([loop], read('n,start,score\n2,76 s,2\n').rows).byLoad.get(loop)).toEqual([
      { line: 2, score: '2', startS: 76, endS: 200, of: 2 },
    ])
    const { unplaced } = placeScores([loop], read('score,runs\n2,5\n').rows, true)
    expect(unplaced.map(({ reason }) => reason)).toEqual([
      '1 score of 5 runs without times, and 3 runs in the log',
    ])
  })

  it('alone on a load of several runs is their mean for a draft, unless the table numbers its runs', () => {
    const alone = read('score\n3\n').rows
    expect(placeScores([loop], alone, true).byLoad.get(loop)).toEqual([
      { line: 2, score: '3', startS: 10, endS: 200, of: 3, isSupposed: true },
    ])
    expect(placeScores([loop], alone).unplaced).toHaveLength(1)
    expect(placeScores([loop], read('run,score\n1,3\n').rows, true).unplaced).toHaveLength(1)
  })

  it('goes to the load that its row names', () => {
    const second = load(2, [[300, 360]])
    const { byLoad } = placeScores([loop, second], read('load,score\n2,9\n').rows)
    expect([byLoad.get(loop), byLoad.get(second)]).toMatchObject([
      [],
      [{ line: 2, score: '9', startS: 300, endS: 360 }],
    ])
  })
})

describe('a drafted sheet', () => {
  const head = {
    machine: 'Wren 13',
    chip: null,
    chassis: null,
    workload: 'render',
    score: 'points',
    better: 'higher' as const,
  }
  const trial = (
    log: string,
    runs: readonly { score: string; startS: number | null; endS: number | null }[] = [],
  ) => ({
    log,
    load: null,
    comment: 'Load 1',
    runs,
  })

  it('keeps what a person changed when it is drafted again, and adds what is new', () => {
    const first = formatDraft(head, [trial('a.csv')])
    const changed = first.replace('machine: Wren 13', 'machine: Wren 13 mark II # my own name')
    const again = formatDraft(
      head,
      [trial('a.csv', [{ score: '15 210', startS: 1, endS: 61 }]), trial('b.csv')],
      { text: changed, file: 'wren.yaml' },
    )
    expect(again).toContain('machine: Wren 13 mark II # my own name')
    expect(again).toContain('- { start: 1.0 s, end: 61.0 s, score: 15210 }')
    expect(again).toContain('- log: b.csv')
    expect(formatDraft(head, [trial('a.csv'), trial('b.csv')], { text: again, file: 'wren.yaml' })).toBe(
      again,
    )
  })

  it('never changes runs that stand there', () => {
    const first = formatDraft(head, [trial('a.csv', [{ score: '1', startS: null, endS: null }])])
    const again = formatDraft(head, [trial('a.csv', [{ score: '2', startS: null, endS: null }])], {
      text: first,
      file: 'wren.yaml',
    })
    expect(again).toBe(first)
  })

  it('is not written over a file that is no sheet', () => {
    expect(() => formatDraft(head, [], { text: 'just: notes\n', file: 'notes.yaml' })).toThrow(
      expect.objectContaining({ code: 'sheet-not-readable' }),
    )
  })
})

describe('draft as a user runs it', () => {
  /** Idle, a load of 40 W, idle, a load of 25 W, idle: a minute of idle between loads of four. */
  const rows = Array.from({ length: 660 }, (_, second) => {
    const levelW = second < 60 ? 4 : second < 300 ? 40 : second < 360 ? 4 : second < 600 ? 25 : 4
    return `${second},${(levelW + ((second * 7) % 5) / 10).toFixed(1)}`
  })
  const log = join(folder, 'wren.csv')
  const out = join(folder, 'wren.yaml')
  const scores = join(folder, 'scores.csv')
  writeFileSync(log, `time_s,power_w\n${rows.join('\n')}\n`)
  writeFileSync(scores, 'start,end,points\n365,480,900\n480,595,905\n9000,9100,1\n')
  const names = [
    '--machine',
    'Wren 13',
    '--chip',
    'Wrentit',
    '--chassis',
    'Wren flat',
    '--workload',
    'render',
  ]

  it('asks which load is meant where the log holds several, places scores by time, and check reads what it wrote', async () => {
    const many = await runInside(['draft', log, '--out', out])
    expect([many.status, many.stderr]).toEqual([2, expect.stringContaining('--load')])
    const told = await runInside(['draft', log, '--loads', '2', '--out', join(folder, 'told.yaml'), ...names])
    const marked = told.stdout.split('\n').map((line) => /^ {2}([ *]) {2}\S+ +(\d)/.exec(line)?.slice(1))
    expect(marked.filter((cells) => cells !== undefined)).toEqual([
      [' ', '1'],
      ['*', '2'],
    ])
    const done = await runInside([
      'draft',
      log,
      '--loads',
      '2',
      '--scores',
      scores,
      '--out',
      out,
      ...names,
      '--json',
    ])
    expect(done.status).toBe(0)
    expect(JSON.parse(done.stdout)).toMatchObject({ placed: 2, unplaced: [{ line: 4, score: '1' }] })
    const fitted = await runInside(['fit', out, '--json'])
    expect(fitted.status).toBe(0)
    const { runs } = JSON.parse(fitted.stdout) as { runs: { meanW: number }[] }
    expect(runs.map(({ meanW }) => Math.round(meanW))).toEqual([25, 25])
  })

  it('takes one row for a load of several runs as their mean, says so in the sheet, and fit reads it', async () => {
    const paused = Array.from({ length: 420 }, (_, second) => {
      const isWork = second >= 60 && second < 360 && (second - 60) % 100 < 90
      return `${second},${((isWork ? 40 : 4) + ((second * 7) % 5) / 10).toFixed(1)}`
    })
    writeFileSync(join(folder, 'paused.csv'), `time_s,power_w\n${paused.join('\n')}\n`)
    writeFileSync(join(folder, 'mean.csv'), 'points\n902\n')
    const mean = join(folder, 'mean.yaml')
    const words = ['draft', join(folder, 'paused.csv'), '--scores', join(folder, 'mean.csv'), '--out', mean]
    const done = await runInside([...words, ...names])
    expect([done.status, done.stderr]).toEqual([0, ''])
    expect(done.stdout.replace(/\s+/g, ' ')).toContain('was taken as their mean')
    expect(readFileSync(mean, 'utf8')).toMatch(
      /# Taken as the mean of the 3 runs found, .*\n\s+- \{ start: .*, score: 902, of: 3 \}/,
    )
    const fitted = await runInside(['fit', mean, '--json'])
    expect(JSON.parse(fitted.stdout)).toMatchObject({ runs: [{ score: 902, of: 3, placedBy: 'times' }] })
    expect((await runInside(['fit', mean])).stdout).toContain('mean of 3')
    expect((await runInside(['check', mean])).status).toBeLessThan(2)
  })

  it('tells which loads there are when a sheet names one that is not', async () => {
    const text = `machine: a\nchip: b\nchassis: c\nworkload: { name: d, score: points, better: higher }\ntrials:\n  - log: wren.csv\n    load: 3\n    runs: [ { score: 1 } ]\n`
    writeFileSync(join(folder, 'third.yaml'), text)
    const { status, stderr } = await runInside(['fit', join(folder, 'third.yaml')])
    expect([status, stderr]).toEqual([2, expect.stringContaining('from 1 to 2')])
  })
})
