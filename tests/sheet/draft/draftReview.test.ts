import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join, resolve } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { draftReview, settleMetrics } from '../../../src/machine/review/draftReview.js'
import type { Load } from '../../../src/segment/load.js'
import { formatReviewDraft } from '../../../src/sheet/draft/formatReviewDraft.js'
import { parseLoadChoice } from '../../../src/sheet/draft/loadChoice.js'
import { logsNaming } from '../../../src/sheet/draft/logsNaming.js'
import { parseMetrics } from '../../../src/sheet/draft/metricColumns.js'
import { parseReviewTable } from '../../../src/sheet/draft/parseReviewTable.js'
import type { DraftLoad } from '../../../src/sheet/draft/placeScores.js'
import { parseReview } from '../../../src/sheet/parseReview.js'
import type { LoneScore } from '../../../src/sheet/reviewSheet.js'
import { runInside } from '../../cli/commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-review-draft-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const estimate = (value: number) => ({ value, low: value - 1, high: value + 1, level: 0.9 })

/** A load whose runs, of a minute each, begin at the given seconds. */
function load(log: string, number: number, startsS: readonly number[]): DraftLoad {
  const found: Load = {
    startS: startsS[0]!,
    endS: startsS.at(-1)! + 60,
    stages: [],
    sustained: { reached: true, levelW: estimate(44), fromS: 0, settleAfterS: null, bounds: null },
    runs: startsS.map((startS) => ({ startS, endS: startS + 60, meanW: 44, energyWh: 1 })),
    noiseW: 0.1,
    autocorrelation: 0,
    spikesAtS: [],
    showsInstants: false,
  }
  return { log, number, load: found, trace: { startOfDayS: 14 * 3600, startEpochS: null } }
}

const table = (text: string, metrics?: string) =>
  parseReviewTable(text, {
    file: 'scores.csv',
    metrics: metrics === undefined ? undefined : parseMetrics(metrics),
  })

/** What a table of one machine becomes: `workload@mode=log#load:scores`, and the reasons of what is left out. */
function drafted(
  text: string,
  loads: readonly DraftLoad[],
  { place = [], machine }: { readonly place?: readonly string[]; readonly machine?: string } = {},
) {
  const drafts = draftReview({
    ...{ loads, machine, workload: undefined, choices: place.map(parseLoadChoice) },
    table: settleMetrics(table(text)),
  })
  return drafts.map(({ machine: name, tests, unplaced }) => ({
    name,
    tests: tests.map(({ workload, mode, load: at, runs }) => {
      const scores = runs.map(
        ({ row, startS }) => `${Object.values(row.values).join('/')}${startS === null ? '' : `@${startS}`}`,
      )
      return `${workload}@${mode}=${at === null ? 'none' : `${at.log}#${at.number}`}:${scores.join(' ')}`
    }),
    unplaced: unplaced.map(({ line, reason }) => `${line}: ${reason}`),
  }))
}

describe('the metrics of a table', () => {
  it('are the columns of numbers, each with its unit and the direction that its unit makes certain', () => {
    const { metrics, rows } = table(
      'workload,start,fps,low [fps],time [min],MB/s,watts\nrun,1 s,60,40,4:30,900,\n',
    )
    expect(metrics).toEqual([
      { name: 'fps', unit: 'fps', better: 'higher' },
      { name: 'low', unit: 'fps', better: 'higher' },
      { name: 'time', unit: 'min', better: 'lower' },
      { name: 'MB/s', unit: 'MB/s', better: 'higher' },
    ])
    expect(rows[0]!.values).toEqual({ fps: '60', low: '40', time: '4:30', 'MB/s': '900' })
  })

  it('have a direction asked for where it is not certain, and never a guessed one', () => {
    const unclear = table('workload,start,time,joules\nrun,1 s,61,900\n')
    expect(() => settleMetrics(unclear)).toThrow(
      expect.objectContaining({
        code: 'metric-direction',
        message: expect.stringContaining('"time", "joules"'),
      }),
    )
    const answered = settleMetrics(
      unclear,
      new Map([
        ['time', 'lower'],
        ['joules', 'lower'],
      ] as const),
    )
    expect(answered.metrics.map(({ better }) => better)).toEqual(['lower', 'lower'])
    const named = table('workload,start,time,joules\nrun,1 s,61,900\n', 'time lower s')
    expect(named.metrics).toEqual([{ name: 'time', unit: 's', better: 'lower' }])
  })

  it('of a time with its unit in the cells are certain', () => {
    expect(table('workload,start,took\na,1 s,61.2 s\n').metrics).toEqual([
      { name: 'took', unit: 's', better: 'lower' },
    ])
  })

  it('stand under `score`, with a unit in each row', () => {
    const { metrics, rows } = table('workload,score,unit\nrender,100,points\ncopy,4400,MB/s\n')
    expect(metrics.map(({ name, better }) => [name, better])).toEqual([
      ['points', 'higher'],
      ['MB/s', 'higher'],
    ])
    expect(rows.map(({ values }) => values)).toEqual([{ points: '100' }, { 'MB/s': '4400' }])
  })

  it('have a decimal comma where that is certain, and are refused where it may be one of thousands', () => {
    const { rows } = table('workload;start;fps;points\na;74,8 s;112,4;15 210\nb;80,25;98;15 100\n')
    expect(rows.map(({ values, start }) => [values.fps, values.points, start!.elapsedS])).toEqual([
      ['112.4', '15 210', 74.8],
      ['98', '15 100', 80.25],
    ])
    for (const cells of ['15,210', '1.234,5', '15,210.5', '15,210,300']) {
      expect(() => table(`workload;points\na;${cells}\n`)).toThrow(
        expect.objectContaining({ code: 'score-comma' }),
      )
    }
  })

  it('have times in the unit of their heading, which hold no score', () => {
    const { rows, metrics } = table(
      'workload,Start (min),End (min),points,time (s)\nrender,1.5,3,5,\nbuild,4,5,,60\n',
    )
    expect(metrics.map(({ name }) => name)).toEqual(['points', 'time'])
    expect(rows.map(({ start, end }) => [start!.elapsedS, end!.elapsedS])).toEqual([
      [90, 180],
      [240, 300],
    ])
  })

  it('name the workload, the mode and the run in the words that such tables have', () => {
    const { rows, metrics } = table('Notebook;Benchmark;Profil;Lauf;Punkte\nWren;Singen;leise;1;998\n')
    expect(metrics.map(({ name }) => name)).toEqual(['Punkte'])
    expect(rows[0]).toMatchObject({ machine: 'Wren', workload: 'Singen', mode: 'leise', runs: 1 })
  })

  it('have points of thousands where another column has decimal commas', () => {
    const { metrics, rows } = table(
      'Gerät;Test;Modus;Punkte;Zeit [s];Anmerkung\nWren;a;Netz;9.533;;\nWren;a;Netz;998;;*\nWren;b;Netz;;168,4;\n* Deckel offen;;;;;\n',
    )
    expect(metrics.map(({ name, better }) => [name, better])).toEqual([
      ['Punkte', 'higher'],
      ['Zeit', 'lower'],
    ])
    expect(rows.map(({ machine, mode, values }) => [machine, mode, values])).toEqual([
      ['Wren', 'Netz', { Punkte: '9533' }],
      ['Wren', 'Netz', { Punkte: '998' }],
      ['Wren', 'Netz', { Zeit: '168.4' }],
      [null, null, {}],
    ])
    expect(rows[3]!.unreadable).toBe('* Deckel offen')
    const fractions = table('workload;points;time [s]\na;9.53;168,4\nb;9.533;170,2\n')
    expect(fractions.rows.map(({ values }) => values.points)).toEqual(['9.53', '9.533'])
    expect(table('workload;points\na;9.533\n').rows[0]!.values.points).toBe('9.533')
    const points = (text: string) => table(text).rows.map(({ values }) => values.points)
    expect(points('workload;points\na;9.533\nb;988\n')).toEqual(['9533', '988'])
    expect(points('workload;points\na;9.533\nb;1.204.533\n')).toEqual(['9533', '1204533'])
    expect(points('workload;points\na;9.533\nb;10\n')).toEqual(['9.533', '10'])
  })

  it('are told where a point may be one of thousands, and where words stand under a heading that is not known', () => {
    const codes = (text: string) => table(text).warnings.map(({ code }) => code)
    expect(table('Bauart;Test;points\nWren;a;9.533\nTern;a;12.204\n').warnings).toEqual([
      { code: 'columns-unread', file: 'scores.csv', columns: ['Bauart'] },
      { code: 'score-point-open', file: 'scores.csv', line: 2, cell: '9.533' },
    ])
    expect(codes('workload;points;Note\na;9.533;warm\nb;988;cold\n')).toEqual([])
    expect(codes('workload,time [s],fps\na,61.204,112.345\n')).toEqual([])
    expect(codes('workload,points\na,9.53\nb,9.533\n')).toEqual([])
    expect(codes('Maschine;Aufgabe;Punkte\nWren;a;9.533\nTern;a;12,5\n')).toEqual([])
  })

  it('of a row a workload are runs in numbered columns', () => {
    const { rows } = table('workload,run 1,run 2,run 3\nrender,100,98,\nflight,60,61,62\n')
    expect(rows.map(({ line, values }) => [line, values])).toEqual([
      [2, { score: '100' }],
      [2, { score: '98' }],
      [3, { score: '60' }],
      [3, { score: '61' }],
      [3, { score: '62' }],
    ])
  })

  it.each([
    ['workload,start\nrun,1 s\n', undefined, 'score-column-missing'],
    ['workload,fps\nrun,60\n', 'low', 'score-column-missing'],
    ['workload,time\nrun,61\n', undefined, 'time-column-unclear'],
    ['workload,start,fps 1,fps 2\nrun,1 s,60,61\n', undefined, 'row-of-several-runs'],
    ['workload,after [fps]\nrun,60\n', undefined, 'metric-name-taken'],
    ['workload\n', undefined, 'scores-empty'],
  ])('of %j asked for as %j are refused: %s', (text, metrics, code) => {
    expect(() => table(text, metrics)).toThrow(expect.objectContaining({ code }))
  })
})

describe('a log', () => {
  const logs = ['a/heron-14-battery.csv', 'a/heron-14-mains.csv', 'a/heron-14-pro-mains.csv', 'a/session.csv']
  const named = (asked: string | null, known: readonly string[]) =>
    logsNaming(logs, (log) => log, asked, known)

  it('is of what its path names; of two names where one holds the other, of the longer', () => {
    const known = ['Heron 14', 'Heron 14 Pro', 'Wren 1']
    expect(named('Heron 14', known)).toEqual([logs[0], logs[1]])
    expect(named('Heron 14 Pro', known)).toEqual([logs[2]])
    expect(named('Wren 1', known)).toEqual([logs[3]])
    expect(named(null, known)).toEqual(logs)
    expect(named('mains', ['mains', 'battery'])).toEqual([logs[1], logs[2]])
  })
})

describe('a row of a review', () => {
  const mains = [
    load('mains.csv', 1, [10, 80]),
    load('mains.csv', 2, [300, 370]),
    load('mains.csv', 3, [600]),
  ]
  const battery = [load('battery.csv', 1, [10, 80]), load('battery.csv', 2, [300, 370])]

  it('goes to the load at its time, in the log of its mode', () => {
    const text =
      'workload,mode,start,points\nrender,mains,10,5\nflight,mains,14:05:01,7\nrender,battery,10,4\n'
    expect(drafted(text, [...mains, ...battery])[0]).toEqual({
      name: null,
      tests: [
        'render@mains=mains.csv#1:5@10',
        'flight@mains=mains.csv#2:7@301',
        'render@battery=battery.csv#1:4@10',
      ],
      unplaced: [],
    })
  })

  it('goes by order where one log has as many loads as the table has workloads for it, with as many runs', () => {
    const text = 'workload,points\nrender,5\nrender,4\nflight,7\nflight,6\nbuild,9\nbuild,8\n'
    expect(drafted(text, mains)[0]!.tests).toEqual([
      'render@null=mains.csv#1:5@10 4@80',
      'flight@null=mains.csv#2:7@300 6@370',
      'build@null=mains.csv#3:9 8',
    ])
  })

  it('alone in its workload is the mean of the runs of its load, as is one that says of how many it is', () => {
    const [alone] = drafted('workload,points\nrender,5\nflight,7\nbuild,9\n', mains)
    expect(alone).toMatchObject({
      tests: [
        'render@null=mains.csv#1:5@10',
        'flight@null=mains.csv#2:7@300',
        'build@null=mains.csv#3:9@600',
      ],
      unplaced: [],
    })
    const told = drafted('workload,runs,points,time [s]\nrender,2,5,60\nflight,2,7,61\nbuild,4,9,62\n', [
      ...mains.slice(0, 2),
      load('mains.csv', 3, [600]),
    ])[0]!
    expect(told.tests).toHaveLength(3)
    const [wrong] = drafted('workload,n,points\nrender,2,5\nflight,3,7\nbuild,1,9\n', mains)
    expect(wrong!.unplaced[0]).toContain('by order load 2 would be "flight", and it has 2 runs, not 3')
  })

  it.each([
    ['render,5\nrender,4\nflight,7\n', 'the log has 3 loads left, and the table 2 workloads for it'],
    [
      'render,5\nrender,4\nflight,7\nbuild,8\n',
      'by order load 2 would be "flight", and it has 2 runs, not 1',
    ],
  ])('of %j is not placed by a guess', (rows, reason) => {
    const [draft] = drafted(`workload,points\n${rows}`, mains)
    expect(draft!.tests).toEqual([])
    expect(new Set(draft!.unplaced.map((text) => text.replace(/^\d+: /, '')))).toEqual(new Set([reason]))
  })

  it('whose score is a word, or none above zero, is listed, and so are the rest where they then fit no run', () => {
    const text = 'workload,start,fps\nrender,10,crashed\nrender,80,60\nflight,300,0\nflight,370,61\n'
    expect(drafted(text, mains)[0]).toMatchObject({
      tests: ['render@null=mains.csv#1:60@80', 'flight@null=mains.csv#2:61@370'],
      unplaced: ['2: "crashed" is no score', '4: "0" is no score'],
    })
  })

  it('without times has a value of every metric, or none of its load is placed', () => {
    const [draft] = drafted('workload,fps,low [fps]\nbuild,60,40\nbuild,61,\n', [mains[2]!])
    expect(draft!.tests).toEqual([])
    expect(draft!.unplaced[0]).toBe('2: runs without times need a value of every metric')
  })

  it('of a load that several logs have is not placed by a guess', () => {
    const [draft] = drafted('workload,load,points\nrender,1,5\nrender,1,4\n', [
      load('a.csv', 1, [10]),
      load('b.csv', 1, [10]),
    ])
    expect(draft!.tests).toEqual([])
    expect(draft!.unplaced[0]).toBe('2: loads of several logs could be meant')
  })

  it('goes where a person says, and what is left goes by order', () => {
    const text = 'workload,points\nflight,7\nflight,6\ncopy,900\nrender,5\nrender,4\nbuild,8\n'
    const place = ['copy=none', 'flight=mains.csv#2']
    expect(drafted(text, mains, { place })[0]).toEqual({
      name: null,
      tests: [
        'flight@null=mains.csv#2:7@300 6@370',
        'copy@null=none:900',
        'render@null=mains.csv#1:5@10 4@80',
        'build@null=mains.csv#3:8@600',
      ],
      unplaced: [],
    })
  })

  it('goes into the sheet of its machine, whose logs have its name in their paths', () => {
    const text = 'machine,workload,start,points\nWren 1,render,10,5\nWren 2,render,10,4\n,render,10,3\n'
    const loads = [load('wren-1/run.csv', 1, [10]), load('wren-2/run.csv', 1, [10])]
    expect(drafted(text, loads)).toEqual([
      {
        name: 'Wren 1',
        tests: ['render@null=wren-1/run.csv#1:5@10'],
        unplaced: ['4: the row names no machine'],
      },
      { name: 'Wren 2', tests: ['render@null=wren-2/run.csv#1:4@10'], unplaced: [] },
    ])
    expect(drafted(text, loads, { machine: 'wren 2' })).toHaveLength(1)
  })

  it.each([
    [{ place: ['flght=2'] }, 'place-unknown'],
    [{ place: ['render=other.csv#2'] }, 'place-unknown'],
    [{ machine: 'Wren 9' }, 'machine-unknown'],
  ])('with %j is refused: %s', (options, code) => {
    const text = 'machine,workload,start,points\nWren 1,render,10,5\n'
    expect(() => drafted(text, mains, options)).toThrow(expect.objectContaining({ code }))
  })

  it.each(['', 'render', 'render=', '=2', 'render @ =2', 'render=a.csv#0'])(
    'is refused a place such as %j',
    (text) => {
      expect(() => parseLoadChoice(text)).toThrow(expect.objectContaining({ code: 'place-unreadable' }))
    },
  )
})

describe('a drafted sheet of many workloads', () => {
  const head = { machine: 'Wren 13', chip: null, chassis: null }
  const points = { name: 'points', unit: 'points', better: 'higher' as const }
  const fps = { name: 'fps', unit: 'fps', better: 'higher' as const }
  const low = { name: 'low', unit: 'fps', better: 'higher' as const }
  const trial = (workload: string, at: number, values?: { readonly [metric: string]: string }) => ({
    ...{ workload, mode: 'mains', log: 'wren.csv', load: at, options: {}, comment: `Load ${at}` },
    runs: values === undefined ? [] : [{ startS: 10, endS: 70, values }],
  })
  const render = { name: 'render', metrics: [points] }
  const flight = { name: 'flight', metrics: [fps, low] }
  const again = (text: string, parts: Partial<Parameters<typeof formatReviewDraft>[0]>) =>
    formatReviewDraft(
      { head, workloads: [render, flight], trials: [], ...parts },
      { text, file: 'wren.yaml' },
    )

  const first = formatReviewDraft({
    head,
    workloads: [render, flight],
    trials: [trial('render', 1, { points: '15 210' }), trial('flight', 2, { fps: '60.1', low: '41' })],
  })

  it('is read as it is, and names the chip of each machine apart', () => {
    const { tests, chip } = parseReview(first, 'wren.yaml')
    expect(chip).toBe('unnamed chip of Wren 13')
    expect(
      tests.map(({ task, metric, mode, sheet }) => [task, metric, mode, sheet.trials[0]!.runs[0]!.score]),
    ).toEqual([
      ['render', 'points', 'mains', 15210],
      ['flight', 'fps', 'mains', 60.1],
      ['flight', 'low', 'mains', 41],
    ])
  })

  it('keeps what a person changed when it is drafted again, and adds what is new', () => {
    const changed = first
      .replace('machine: Wren 13', 'machine: Wren 13 mark II # my own name')
      .replace('60.1', '60.9')
    const build = { name: 'build', metrics: [{ name: 'time', unit: 's', better: 'lower' as const }] }
    const trials = [
      trial('render', 1, { points: '1' }),
      trial('flight', 2, { fps: '1', low: '1' }),
      trial('build', 3, { time: '4:30' }),
    ]
    const text = again(changed, { workloads: [render, flight, build], trials })
    expect(text).toContain('Wren 13 mark II # my own name')
    expect(text).toContain('fps: 60.9, low: 41')
    expect(text).toContain('time: 270')
    expect(text.startsWith(changed.slice(0, 100))).toBe(true)
    expect(parseReview(text, 'wren.yaml').tests).toHaveLength(4)
    expect(again(text, { workloads: [render, flight, build], trials })).toBe(text)
  })

  it('knows a workload by its load where a person gave it another name', () => {
    const renamed = first.replaceAll(/\brender\b/g, 'tile render')
    expect(again(renamed, { trials: [trial('render', 1, { points: '1' })] })).toBe(renamed)
  })

  it('adds a metric that the workload lacks, and runs to a trial that has none', () => {
    const bare = formatReviewDraft({
      head,
      workloads: [{ name: 'flight', metrics: [fps, fps] }],
      trials: [trial('flight', 2)],
    })
    const text = again(bare, { workloads: [flight], trials: [trial('flight', 2, { fps: '60', low: '41' })] })
    expect(parseReview(text, 'wren.yaml').tests.map(({ metric }) => metric)).toEqual(['fps', 'low'])
  })

  it('is not written over a sheet of another kind', () => {
    expect(() => again('machine: a\ntrials: []\n', {})).toThrow(
      expect.objectContaining({ code: 'sheet-not-readable' }),
    )
  })
})

/** All that `review` makes its figures of, but for the names of chip and chassis, which no table gives. */
function testsIn(path: string) {
  return parseReview(readFileSync(path, 'utf8'), path).tests.map(
    ({ task, metric, mode, isFirst, sheet, alone }) => ({
      ...{ task, metric, mode, isFirst, workload: sheet.workload, alone: alone.map(({ score }) => score) },
      trials: sheet.trials.map((trial) => {
        if (trial.kind === 'noted') throw new Error('no trial of these sheets is noted')
        const runs = trial.runs.map(({ start, end, score }) => [start?.elapsedS, end?.elapsedS, score])
        return { log: resolve(dirname(path), trial.log), load: trial.load, runs }
      }),
    }),
  )
}

describe('a review drafted as a user does it', () => {
  const words = ['samples/review', '--scores', 'samples/review/scores.tab', '--place', 'nest copy=none']
  const sheets = ['heron-14', 'heron-12', 'ibis-15'].map((name) => join(folder, 'sheets', `${name}.yaml`))

  it('from a folder of logs and a table of scores gives the same tests as sheets written by hand, for `review` to read as they are', async () => {
    const listed = await runInside([
      'draft',
      ...words.slice(0, 3),
      '--out',
      join(folder, 'sheets/'),
      '--json',
    ])
    const document = JSON.parse(listed.stdout) as {
      placed: number
      unplaced: { line: number; workload: string }[]
    }
    expect([listed.status, document.placed]).toEqual([0, 180])
    expect(new Set(document.unplaced.map(({ workload }) => workload))).toEqual(new Set(['nest copy']))
    const done = await runInside(['draft', ...words, '--out', join(folder, 'sheets/')])
    expect(done.stdout).toContain('nest copy @ mains: 3 runs without power')
    expect(done.stdout).toContain('film encode @ battery')
    expect(sheets.map(testsIn)).toEqual(
      ['heron-14', 'heron-12', 'ibis-15'].map((name) => testsIn(`samples/review/${name}.yaml`)),
    )
    const reviewed = await runInside(['review', sheets[0]!, '--json'])
    expect(reviewed.status).toBe(0)
  }, 60_000)

  it('from a table with a row a workload gives a sheet of the means, each of as many runs as the row says', async () => {
    const [head, ...rows] = readFileSync('samples/review/scores.tab', 'utf8').trim().split('\n')
    const groups = new Map<string, string[][]>()
    for (const cells of rows.map((row) => row.split('\t')).filter((cells) => cells[0] === 'Heron 14')) {
      const key = cells.slice(0, 3).join()
      groups.set(key, [...(groups.get(key) ?? []), cells])
    }
    const meanOf = (cells: readonly string[]) =>
      cells[0] === '' ? '' : String(cells.reduce((sum, cell) => sum + Number(cell), 0) / cells.length)
    const names = head!.split('\t')
    const means = [...groups.values()].map((group) =>
      [...names, 'runs'].map((name, j) => {
        if (name === 'runs') return String(group.length)
        const isPlace = ['machine', 'workload', 'mode', 'log', 'chip', 'chassis'].includes(name)
        return isPlace
          ? group[0]![j]!
          : name === 'start' || name === 'end'
            ? ''
            : meanOf(group.map((cells) => cells[j] ?? ''))
      }),
    )
    const file = join(folder, 'means.tab')
    writeFileSync(file, [`${head}\truns`, ...means.map((cells) => cells.join('\t'))].join('\n'))
    const out = join(folder, 'means', 'heron-14.yaml')
    mkdirSync(join(folder, 'means'), { recursive: true })
    const place = ['--place', 'nest copy=none', '--machine', 'Heron 14']
    const done = await runInside(['draft', 'samples/review', '--scores', file, ...place, '--out', out])
    expect([done.status, done.stderr]).toEqual([0, ''])
    const { tests } = parseReview(readFileSync(out, 'utf8'), out)
    const inSheet = tests
      .filter(({ isFirst }) => isFirst)
      .map(({ task, mode, alone, sheet }) => {
        const [run] = [...alone, ...sheet.trials.flatMap((trial): readonly LoneScore[] => trial.runs)]
        return [task, mode, run!.of, run!.score]
      })
    const inTable = means.map((cells) => {
      const [, task, mode, , , points, fps, , time, copied] = cells
      return [task, mode, Number(cells.at(-1)), Number(points || fps || time || copied)]
    })
    const sorted = (list: readonly (readonly unknown[])[]) => list.map((each) => JSON.stringify(each)).sort()
    expect(sorted(inSheet)).toEqual(sorted(inTable))
  }, 60_000)

  it('asks on a terminal for names, directions and loads, and not again for what a sheet has', async () => {
    const logs = join(folder, 'asked')
    mkdirSync(logs, { recursive: true })
    const powerW = (second: number) => (second % 200 < 60 ? 4 : second < 200 ? 40 : 25)
    const rows = Array.from(
      { length: 460 },
      (_, second) => `${second},${powerW(second) + ((second * 7) % 5) / 10}`,
    )
    writeFileSync(join(logs, 'wren.csv'), `time_s,power_w\n${rows.join('\n')}\n`)
    writeFileSync(join(logs, 'notes.csv'), 'bird,colour\nwren,brown\n')
    writeFileSync(join(logs, 'scores.csv'), 'workload,joules\nrender,900\nflight,60\ncopy,7\n')
    const answers: { readonly [question: string]: string } = {
      joules: 'l',
      'load is render': '2',
      'load is flight': 'first',
      'load is copy': 'none',
      Machine: 'Wren 13',
      Chip: 'Wrentit',
      Chassis: '',
    }
    const asked: string[] = []
    const ask = async (question: string) => {
      asked.push(question)
      if (question.includes('flight') && asked.filter((each) => each.includes('flight')).length > 1)
        return '1'
      return Object.entries(answers).find(([words]) => question.includes(words))?.[1] ?? ''
    }
    const out = join(logs, 'wren.yaml')
    const command = ['draft', logs, '--scores', join(logs, 'scores.csv'), '--out', out]
    const { status, stdout, stderr } = await runInside(command, { ask })
    expect([status, stderr]).toEqual([0, expect.stringContaining('not one of the loads above')])
    expect(stdout).toContain('Not read as logs: 1 file')
    const { machine, chip, chassis, tests } = parseReview(readFileSync(out, 'utf8'), out)
    expect([machine, chip, chassis]).toEqual(['Wren 13', 'Wrentit', 'unnamed chassis of Wren 13'])
    expect(
      tests.map(({ task, sheet, alone }) => [task, sheet.workload.better, sheet.trials.length, alone.length]),
    ).toEqual([
      ['render', 'lower', 1, 0],
      ['flight', 'lower', 1, 0],
      ['copy', 'lower', 0, 1],
    ])
    const before = readFileSync(out, 'utf8')
    asked.length = 0
    await runInside(command, {
      ask: async (question) => {
        asked.push(question)
        return question.includes('joules') ? 'l' : ''
      },
    })
    expect(asked.filter((question) => /Machine|Chip|Chassis/.test(question))).toEqual([])
    expect(readFileSync(out, 'utf8')).toBe(before)
  })

  it.each([
    [['--out', 'x.yaml'], 'machines-many'],
    [['--out', 'x.yaml', '--machine', 'Heron 14', '--loads', '2'], 'option-unfit'],
    [['--out', 'x/', '--chip', 'Kestrel 16'], 'option-unfit'],
  ])('with %j is refused: %s', async (options, code) => {
    const logs = shortLog('logs')
    const { status, stdout } = await runInside(['draft', logs, ...words.slice(1, 3), ...options, '--json'])
    expect([status, (JSON.parse(stdout) as { error: { code: string } }).error.code]).toEqual([2, code])
  })

  it('writes no sheet where there is nothing to put into it, and tells what stayed in one that was there', async () => {
    const logs = shortLog('bare')
    const out = join(logs, 'heron.yaml')
    const bare = await runInside(['draft', logs, '--out', out])
    expect([bare.status, bare.stderr]).toEqual([2, expect.stringContaining('--place')])
    const scores = join(logs, 'scores.csv')
    writeFileSync(scores, 'workload,start,points\nrender,9000,1\n')
    const none = await runInside(['draft', logs, '--scores', scores, '--out', out])
    expect([none.status, none.stdout]).toEqual([
      0,
      expect.stringContaining('no sheet, as nothing has a place'),
    ])
    expect(none.stdout).not.toContain('holdwatt check')
    writeFileSync(scores, 'workload,run 1,run 2\nrender,100,98\n')
    const placed = ['draft', logs, '--scores', scores, '--out', out]
    expect((await runInside(placed)).stdout).toContain('2 runs placed in 1 trial.\n')
    expect((await runInside(placed)).stdout).toContain('What stood in the sheet is kept.')
    expect(parseReview(readFileSync(out, 'utf8'), out).tests[0]!.sheet.trials[0]!.runs).toHaveLength(2)
  })
})

/** A folder with one short log, of three minutes of load. */
function shortLog(name: string): string {
  const logs = join(folder, name)
  mkdirSync(logs, { recursive: true })
  const rows = Array.from({ length: 300 }, (_, second) => `${second},${second < 60 || second > 240 ? 4 : 40}`)
  writeFileSync(join(logs, 'heron-14.csv'), `time_s,power_w\n${rows.join('\n')}\n`)
  return logs
}
