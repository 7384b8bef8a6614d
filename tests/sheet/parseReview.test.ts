import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseReview } from '../../src/sheet/parseReview.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { testLabel } from '../../src/sheet/reviewSheet.js'

const REVIEW = `machine: Heron 14
chip: Kestrel 16
chassis: Heron slim
ambient: 22 degC
workloads:
  - name: tile render
    score: points
    better: higher
  - name: marsh flight
    metrics: { fps: { better: higher }, low: { better: higher, unit: fps } }
    fixed: time
  - name: film encode
    metrics: { time: { better: lower, unit: min } }
trials:
  - workload: tile render
    mode: mains
    log: session.csv
    load: 2
    runs: [ { start: 12 s, end: 71 s, score: 15210 }, { start: 80 s, end: 140 s, score: 15105 } ]
  - workload: tile render
    mode: battery
    ambient: 24 degC
    log: session.csv
    load: 5
    runs: { file: scores.csv }
  - workload: Marsh Flight
    mode: mains
    log: flight.csv
    runs: [ { fps: 61, low: 44 }, { fps: 60.5, low: 43 } ]
  - workload: film encode
    mode: mains
    runs: [ { time: 04:30 }, { time: 4.6 } ]
`

function complaint(text: string): InputError {
  try {
    parseReview(text, 'heron.yaml')
  } catch (error) {
    if (error instanceof InputError) return error
    throw error
  }
  throw new Error('the sheet was accepted')
}

function changed(from: string, to: string): string {
  if (!REVIEW.includes(from)) throw new Error(`the sheet has no ${from}`)
  return REVIEW.replace(from, to)
}

describe('a sheet of many workloads', () => {
  const review = parseReview(REVIEW, 'heron.yaml')

  it('gives one test for each workload, mode and metric', () => {
    expect(review.tests.map(testLabel)).toEqual([
      'tile render @ mains',
      'tile render @ battery',
      'marsh flight, fps @ mains',
      'marsh flight, low @ mains',
      'film encode @ mains',
    ])
    expect(review.tests.map((test) => test.isFirst)).toEqual([true, true, true, false, true])
  })

  it('gives each metric its own runs, unit and direction', () => {
    const [, , fps, low, encode] = review.tests
    expect(fps!.sheet.workload).toEqual({ name: 'marsh flight, fps', score: 'fps', better: 'higher' })
    expect(fps!.sheet.trials[0]!.runs.map((run) => run.score)).toEqual([61, 60.5])
    expect(low!.sheet.trials[0]!.runs.map((run) => run.score)).toEqual([44, 43])
    expect(low!.sheet).toMatchObject({ task: 'marsh flight', fixed: 'time' })
    expect(encode!.sheet.workload).toEqual({ name: 'film encode', score: 'min', better: 'lower' })
  })

  it('keeps scores without any power as tested, a time in its unit', () => {
    const encode = review.tests.at(-1)!
    expect(encode.sheet.trials).toEqual([])
    expect(encode.alone.map(({ score, at }) => [score, at.line])).toEqual([
      [4.5, 32],
      [4.6, 32],
    ])
  })

  it('takes the room of a trial over that of the sheet', () => {
    expect(review.tests.map((test) => test.sheet.ambientC)).toEqual([22, 24, 22, 22, 22])
  })

  it('reads scores from a table by the name of the metric', () => {
    expect(review.tests[1]!.sheet.trials[0]).toMatchObject({ table: { file: 'scores.csv', score: null } })
    const flight = changed(
      'runs: [ { fps: 61, low: 44 }, { fps: 60.5, low: 43 } ]',
      'runs: { file: flight.csv }',
    )
    const [, , fps, low] = parseReview(flight, 'heron.yaml').tests
    expect(fps!.sheet.trials[0]).toMatchObject({ table: { score: 'fps' } })
    expect(low!.sheet.trials[0]).toMatchObject({ table: { score: 'low' } })
  })

  it('needs no name of a workload where there is one only', () => {
    const text = `machine: A\nchip: B\nchassis: C\nworkloads: [ { name: render, score: points, better: higher } ]\ntrials: [ { log: a.csv, runs: [ { score: 9 } ] } ]\n`
    expect(parseReview(text, 'a.yaml').tests.map(testLabel)).toEqual(['render'])
  })

  it.each([
    ['render', 'tile render', 2],
    ['render @ battery', 'tile render', 1],
    ['Marsh flight, low', 'marsh flight, low', 1],
    ['low@mains', 'marsh flight, low', 1],
  ])('is read as one test when `%s` is asked for', (asked, name, trials) => {
    const sheet = parseSheet(REVIEW, 'heron.yaml', asked)
    expect(sheet.workload.name).toBe(name)
    expect(sheet.trials).toHaveLength(trials)
  })

  it('of scores alone has no test to fit, and says so', () => {
    const alone = REVIEW.slice(0, REVIEW.indexOf('trials:')).concat(
      'trials: [ { workload: tile render, runs: [ { score: 15210 } ] } ]',
    )
    expect(() => parseSheet(alone, 'heron.yaml')).toThrow(
      expect.objectContaining({ code: 'sheet-without-power' }),
    )
  })

  it.each([
    [undefined, 'sheet-of-several'],
    ['marsh flight', 'sheet-test-unknown'],
    ['chess', 'sheet-test-unknown'],
    ['film encode', 'sheet-test-unknown'],
    ['render @ night', 'sheet-test-unknown'],
  ])('is not guessed at when `%s` is asked for', (asked, code) => {
    expect(() => parseSheet(REVIEW, 'heron.yaml', asked)).toThrow(expect.objectContaining({ code }))
  })
})

describe('a sheet of one workload', () => {
  const ONE = `machine: A
chip: B
chassis: C
workload: { name: render, score: points, better: higher }
trials:
  - { log: a.csv, mode: quiet, runs: [ { score: 9 } ] }
  - { log: b.csv, mode: loud, runs: [ { score: 12 } ] }
  - { log: c.csv, mode: quiet, runs: [ { score: 10 } ] }
`
  it('is one test of all modes, and a review of one test a mode', () => {
    expect(parseSheet(ONE, 'a.yaml').trials).toHaveLength(3)
    const { tests } = parseReview(ONE, 'a.yaml')
    expect(tests.map((test) => [testLabel(test), test.sheet.trials.length])).toEqual([
      ['render @ quiet', 2],
      ['render @ loud', 1],
    ])
  })
})

describe('a sheet of one workload that is asked for a test', () => {
  const one = (asked: string) =>
    parseSheet(
      'machine: A\nchip: B\nchassis: C\nworkload: { name: render, score: points, better: higher }\ntrials: [ { log: a.csv, mode: quiet }, { log: b.csv } ]\n',
      'a.yaml',
      asked,
    )
  it('gives it by workload or mode, and refuses what it has not', () => {
    expect(one('@ quiet').trials).toHaveLength(1)
    expect(one('rend').trials).toHaveLength(2)
    for (const asked of ['chess', 'render @ loud']) {
      expect(() => one(asked)).toThrow(expect.objectContaining({ code: 'sheet-test-unknown' }))
    }
  })
})

describe('a wrong sheet of many workloads', () => {
  it.each([
    [
      'a workload that is not in the list',
      changed('workload: Marsh Flight', 'workload: marsh fligt'),
      'workload-unknown',
      26,
      /was `marsh flight` meant/,
    ],
    [
      'a trial of no workload',
      changed('  - workload: film encode\n    mode', '  - mode'),
      'workload-unknown',
      30,
      /Known here/,
    ],
    ['a mistyped metric', changed('fps: 61', 'fpss: 61'), 'sheet-key-unknown', 29, /was `fps` meant/],
    [
      'a metric of another workload',
      changed('{ time: 4.6 }', '{ fps: 4.6 }'),
      'metric-unknown',
      32,
      /known here: `time`/,
    ],
    ['a run of no score', changed('{ time: 4.6 }', '{ for: 9 s }'), 'run-without-score', 32, /`time`/],
    [
      'a workload twice',
      changed('name: film encode\n', 'name: Tile Render\n'),
      'workload-repeated',
      12,
      /keep one/,
    ],
    ['a workload of no metric', changed('    score: points\n', ''), 'workload-without-metric', 6, /better/],
    [
      'a metric that is a key of a run',
      changed('time: { better', 'end: { better')
        .replaceAll('time: 4.6', 'end: 4.6')
        .replace('time: 04:30', 'end: 04:30'),
      'metric-name-taken',
      13,
      /another name/,
    ],
    [
      'a run without times that lacks a metric',
      changed('fps: 60.5, low: 43', 'fps: 60.5'),
      'run-metric-missing',
      29,
      /start/,
    ],
    [
      'a trial of nothing',
      changed('    runs: [ { time: 04:30 }, { time: 4.6 } ]\n', ''),
      'trial-without-power',
      30,
      /runs/,
    ],
    ['a wrong score', changed('04:30', '"4,6"'), 'score-invalid', 32, /comma/],
    [
      'a mistyped key of a metric',
      changed('{ better: lower', '{ beter: lower'),
      'sheet-key-unknown',
      13,
      /was `better` meant/,
    ],
  ])('with %s is told with its line and what to do', (_case, text, code, line, remedy) => {
    const error = complaint(text)
    expect({ code: error.code, line: error.details.where?.line }).toEqual({ code, line })
    expect(`${error.details.remedy} ${error.message}`).toMatch(remedy)
  })

  it('tells the faults of all trials at once', () => {
    const error = complaint(changed('04:30', '"4,6"').replace('fps: 61', 'fps: none'))
    expect([error, ...error.details.others!].map((each) => each.code)).toEqual([
      'score-invalid',
      'score-invalid',
    ])
  })
})
