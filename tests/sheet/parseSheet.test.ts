import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { InputError } from '../../src/errors.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import { processorSeconds } from '../processorSeconds.js'

const SHEET = `machine: Heron 14
chip: Kestrel 16
chassis: Heron slim
ambient: 22 degC
workload:
  name: tile render, all threads
  score: points
  better: higher
trials:
  - log: heron-loop.csv
    mode: balanced
    power: Package power
    runs:
      - { start: 12 s, end: 71 s, score: 15210 }
      - { start: 01:20, end: 00:02:20, score: 15 105 points }
      - { score: 15010 }
  - noted:
      - { power: 96 W, for: 7 s }
      - { power: 58 W, for: 2 min }
      - { power: 44 W }
    runs: [ { score: 17100, after: 0 s }, { score: 15000, after: 15 min } ]
`

/** The complaint about a sheet. */
function complaint(text: string): InputError {
  try {
    parseSheet(text, 'heron.yaml')
  } catch (error) {
    if (error instanceof InputError) return error
    throw error
  }
  throw new Error('the sheet was accepted')
}

/** The sheet above with one piece of text replaced. */
function changed(from: string, to: string): string {
  if (!SHEET.includes(from)) throw new Error(`the sheet has no ${from}`)
  return SHEET.replace(from, to)
}

describe('a test sheet', () => {
  it('is read with every quantity in W, s and degrees C', () => {
    const sheet = parseSheet(SHEET, 'heron.yaml')
    expect(sheet).toMatchObject({
      machine: 'Heron 14',
      chip: 'Kestrel 16',
      chassis: 'Heron slim',
      ambientC: 22,
    })
    expect(sheet.workload).toEqual({ name: 'tile render, all threads', score: 'points', better: 'higher' })
    const [logged, noted] = sheet.trials
    expect(logged).toMatchObject({ kind: 'logged', mode: 'balanced', options: { power: 'Package power' } })
    expect(logged!.runs.map((run) => run.score)).toEqual([15210, 15105, 15010])
    expect(noted).toMatchObject({
      kind: 'noted',
      levels: [
        { powerW: 96, forS: 7 },
        { powerW: 58, forS: 120 },
        { powerW: 44, forS: null },
      ],
      runs: [
        { score: 17100, afterS: 0, forS: null },
        { score: 15000, afterS: 900 },
      ],
    })
  })

  it('takes MM:SS as elapsed, and HH:MM:SS as elapsed or time of day, for the log to decide', () => {
    const run = parseSheet(SHEET, 'heron.yaml').trials[0]!.runs[1]!
    expect(run).toMatchObject({
      start: { elapsedS: 80, ofDayS: null, text: '01:20' },
      end: { elapsedS: 140, ofDayS: 140 },
    })
  })

  it('takes plain numbers in the units of the contract: W, s and degrees C', () => {
    const sheet = parseSheet(changed('22 degC', '22').replace('96 W, for: 7 s', '96, for: 7'), 'heron.yaml')
    expect(sheet.ambientC).toBe(22)
    expect(sheet.trials[1]).toMatchObject({ levels: [{ powerW: 96, forS: 7 }, {}, {}] })
  })

  it('converts units instead of guessing them', () => {
    const sheet = parseSheet(changed('22 degC', '72 degF').replace('96 W', '0.096 kW'), 'heron.yaml')
    expect(sheet.ambientC).toBeCloseTo(22.222, 3)
    expect(sheet.trials[1]).toMatchObject({ levels: [{ powerW: 96 }, {}, {}] })
  })

  it('keeps names as they are written, even those that look like numbers', () => {
    const sheet = parseSheet(changed('Kestrel 16', '0016').replace('Heron 14', '1e3'), 'heron.yaml')
    expect([sheet.chip, sheet.machine]).toEqual(['0016', '1e3'])
  })

  it('takes a time score with a unit or as MM:SS and as the length of a noted run', () => {
    const text = changed('better: higher', 'better: lower').replace('score: points', 'score: s')
    const sheet = parseSheet(text.replace('15210', '04:30').replace('15 105 points', '4.5 min'), 'heron.yaml')
    expect(sheet.trials[0]!.runs.slice(0, 2).map((run) => run.score)).toEqual([270, 270])
    expect(sheet.trials[1]!.runs[0]).toMatchObject({ score: 17100, forS: 17100 })
  })

  it('follows anchors and aliases', () => {
    const text = changed('- { power: 44 W }', '- &low { power: 44 W, for: 1 min }\n      - *low')
    expect(parseSheet(text, 'heron.yaml').trials[1]).toMatchObject({
      levels: [{}, {}, { powerW: 44 }, { powerW: 44 }],
    })
  })
})

describe('a wrong test sheet', () => {
  it.each([
    [
      'an unknown key',
      changed('chassis:', 'chasis:'),
      'sheet-key-unknown',
      3,
      /`chasis` is not known/,
      /was `chassis` meant/,
    ],
    [
      'a missing key',
      changed('machine: Heron 14\n', ''),
      'sheet-value-invalid',
      1,
      /machine: expected .*got nothing/,
      /example/,
    ],
    [
      'a wrong unit',
      changed('22 degC', '22 W'),
      'unit-wrong',
      4,
      /ambient: expected a temperature, got a power/,
      /degC/,
    ],
    ['an unknown unit', changed('7 s }', '7 sx }'), 'unit-unknown', 18, /sx/, /min/],
    [
      'a wrong direction',
      changed('higher', 'up'),
      'sheet-value-invalid',
      8,
      /higher.*lower.*got `up`/,
      /example/,
    ],
    ['half a run time', changed(', end: 71 s', ''), 'run-time-half', 14, /both/, /add the missing time/],
    [
      'a score with a comma',
      changed('score: 15210', 'score: "15,210"'),
      'score-invalid',
      14,
      /15,210/,
      /without a comma/,
    ],
    ['a score of zero', changed('15210', '0'), 'score-invalid', 14, /above zero/, /plain number/],
    [
      'no trials',
      SHEET.replace(/trials:[\s\S]*/, 'trials: []\n'),
      'sheet-value-invalid',
      9,
      /at least one trial/,
      /example/,
    ],
    [
      'a level without length',
      changed('for: 2 min', ''),
      'level-without-length',
      19,
      /how long/,
      /for: 2 min/,
    ],
    [
      'a trial of nothing',
      changed('log: heron-loop.csv', 'mode: loud').replace('    mode: balanced\n', ''),
      'trial-without-power',
      10,
      /neither/,
      /log/,
    ],
    [
      'a start in a noted trial',
      changed('after: 0 s', 'start: 0 s, end: 5 s'),
      'run-key-misplaced',
      21,
      /no/,
      /after/,
    ],
    [
      'a mean of one run',
      changed('{ score: 15010 }', '{ score: 15010, of: 1 }'),
      'sheet-value-invalid',
      16,
      /2 to 10000/,
      /./,
    ],
    ['a key twice', changed('chip:', 'machine: Plover\nchip:'), 'yaml-key-repeated', 2, /twice/, /keep one/],
    ['a second document', changed('chip:', '---\nchip:'), 'yaml-invalid', 2, /one document/, /indent/],
    ['broken YAML', changed('{ score: 15010 }', '{ score: 15010'), 'yaml-invalid', 17, /YAML/, /indent/],
  ])('with %s is told with line, what it got and what to do', (_case, text, code, line, message, remedy) => {
    const error = complaint(text)
    expect(error.code).toEqual(code)
    expect(error.details.where).toMatchObject({ file: 'heron.yaml', line })
    expect(error.message).toMatch(message)
    expect(error.details.remedy).toMatch(remedy)
  })

  it('tells all of its faults at once, a mistyped key once', () => {
    const error = complaint(changed('22 degC', 'warm').replace('chassis:', 'chasis:'))
    expect([error, ...error.details.others!].map((each) => each.details.where?.line)).toEqual([3, 4])
  })

  it('refuses control characters in names', () => {
    expect(complaint(changed('Heron 14', '"Heron\\u001b[2J"')).message).toMatch(/control characters/)
  })

  it('that is a log is told so', () => {
    expect(complaint('time_s,power_w\n0,5\n1,6\n').code).toBe('sheet-not-a-sheet')
  })
})

describe('a hostile test sheet', () => {
  const laugh = ['a: &a [x,x,x,x,x,x,x,x,x]']
  for (let i = 1; i < 9; i++)
    laugh.push(
      `${'abcdefghi'[i]}: &${'abcdefghi'[i]} [${Array(9)
        .fill(`*${'abcdefghi'[i - 1]}`)
        .join(',')}]`,
    )

  it.each([
    ['aliases that multiply', laugh.join('\n')],
    ['an alias to itself', 'a: &a [*a]'],
    ['brackets that nest', '['.repeat(100_000)],
    ['closed brackets that nest', '['.repeat(20_000) + ']'.repeat(20_000)],
    ['dashes that nest', '- '.repeat(30_000)],
    ['keys that nest', Array.from({ length: 400 }, (_, i) => `${' '.repeat(i)}a:`).join('\n')],
    ['question marks', '? '.repeat(30_000)],
    ['thousands of keys', Array.from({ length: 6_000 }, (_, i) => `k${i}: 1`).join('\n')],
    ['thousands of anchors', Array.from({ length: 3_000 }, (_, i) => `- &a${i} x\n- *a${i}`).join('\n')],
    ['quotes', '"'.repeat(65_000)],
    ['megabytes', 'a: '.padEnd(5_000_000, 'x')],
    ['a key that is a prototype', '__proto__: { machine: x }\nconstructor: y'],
    ['NUL characters', 'machine: "\0"'],
  ])('of %s is refused at once', (_case, text) => {
    const before = process.cpuUsage()
    expect(complaint(text)).toBeInstanceOf(InputError)
    expect(processorSeconds(before)).toBeLessThan(5)
  })

  it('of any text throws nothing but an input error', () => {
    const words = fc.constantFrom(
      'machine: ',
      '- ',
      '{',
      '}',
      '[',
      ']',
      '\n',
      '  ',
      'trials:',
      '&a ',
      '*a',
      '"',
      "'",
      '|',
      '>',
      '#',
      ': ',
      'runs:',
      '\t',
      '%',
      '---',
      'é',
    )
    fc.assert(
      fc.property(fc.array(fc.oneof(words, fc.string({ maxLength: 5 })), { maxLength: 60 }), (parts) => {
        expect(complaint(parts.join(''))).toBeInstanceOf(InputError)
      }),
      { seed: 1, numRuns: 200 },
    )
  })
})

describe('a sheet that means harm', () => {
  const digits = '1'.repeat(60_000)
  it.each([
    ['a score of 60,000 digits and a letter', `{ score: ${digits}x }`, 'score-invalid'],
    [
      'a start of 40,000 digits and a letter',
      `{ start: ${digits.slice(20_000)}x, end: 1:00, score: 9 }`,
      'quantity-unreadable',
    ],
    [
      'a start of 20,000 words',
      `{ start: 2026-03-01 ${' 1'.repeat(20_000)}, end: 1:00, score: 9 }`,
      'run-time-invalid',
    ],
    [
      'a clock of 40,000 digits',
      `{ start: '1:${digits.slice(20_000)}', end: 1:00, score: 9 }`,
      'run-time-invalid',
    ],
    ['a pause longer than any test', '{ start: 1e300 s, end: 1:00, score: 9 }', 'quantity-too-large'],
  ])('%s is refused at once', (_what, run, code) => {
    const before = process.cpuUsage()
    const error = complaint(SHEET.replace('{ score: 15010 }', run))
    expect(processorSeconds(before)).toBeLessThan(2)
    expect(error.code).toEqual(
      code === 'quantity-unreadable' ? expect.stringMatching(/quantity-unreadable|run-time-invalid/) : code,
    )
    expect(error.message.length).toBeLessThan(300)
  })

  it.each([
    ['closed in a text', '["]",'.repeat(5000)],
    ['closed in a comment', '[ # ]\n'.repeat(3000)],
    ['keys that are maps', '{"}": '.repeat(5000)],
    ['lists in lists', '- '.repeat(5000)],
    ['lists with anchors', '- &a '.repeat(5000)],
    ['lists with tags', '- !!seq '.repeat(5000)],
    ['keys in keys', '? '.repeat(5000)],
  ])('nesting is refused before anything recurses into it: brackets %s', (_what, text) => {
    for (const whole of [text, `machine: ${text}`, `trials:\n  - ${text}`]) {
      const { code, message } = complaint(whole)
      expect({ code, message }).toEqual({
        code: expect.stringMatching(/sheet-too-deep|yaml-invalid|sheet-too-large/),
        message: expect.not.stringMatching(/call stack/),
      })
    }
  })
})
