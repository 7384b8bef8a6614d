import { readdirSync, readFileSync } from 'node:fs'
import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { parseReview } from '../../src/sheet/parseReview.js'
import { sheetJsonSchema } from '../../src/sheet/sheetJsonSchema.js'

// The schema is held to a validator that shares nothing with the one that it was made from.
const validate = new Ajv2020({
  allErrors: true,
  strict: true,
  strictRequired: false,
  allowUnionTypes: true,
}).compile(sheetJsonSchema())

const sheets = readdirSync('samples', { recursive: true, encoding: 'utf8' }).filter((name) =>
  name.endsWith('.yaml'),
)

describe('the JSON Schema of a sheet', () => {
  it('is of draft 2020-12, and every object in it is closed to keys that no sheet has', () => {
    const schema = sheetJsonSchema()
    expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema')
    expect(JSON.stringify(schema)).toContain('"additionalProperties":false')
  })

  it.each(sheets)('takes the sample %s, as the reader does', (name) => {
    const text = readFileSync(`samples/${name}`, 'utf8')
    expect(() => parseReview(text, name)).not.toThrow()
    expect(validate(parse(text)), JSON.stringify(validate.errors)).toBe(true)
  })

  const ONE =
    'machine: A\nchip: B\nchassis: C\nworkload: { name: render, score: points, better: higher }\ntrials:\n  - log: a.csv\n    runs: [ { score: 9 } ]\n'
  const MANY = ONE.replace('workload: {', 'workloads: [ {').replace('higher }', 'higher } ]')

  it.each([
    ['of one workload', ONE],
    ['of many', MANY],
    ['with a mean of runs', ONE.replace('score: 9 }', 'score: 9, of: 5 }')],
    ['of many with a mean', MANY.replace('score: 9 }', 'score: 9, of: 5 }')],
    ['with runs from a table', ONE.replace('[ { score: 9 } ]', '{ file: scores.csv }')],
    [
      'with metrics',
      MANY.replace('score: points, better: higher', 'metrics: { fps: { better: higher } }').replace(
        'score: 9',
        'fps: 61',
      ),
    ],
  ])('takes a sheet %s, as the reader does', (_what, text) => {
    expect(() => parseReview(text, 'a.yaml')).not.toThrow()
    expect(validate(parse(text)), JSON.stringify(validate.errors)).toBe(true)
  })

  it.each([
    ['no machine', ONE.replace('machine: A\n', '')],
    ['a mistyped key', ONE.replace('chassis', 'chasis')],
    ['a wrong direction', ONE.replace('higher', 'up')],
    ['no trials', ONE.replace(/trials:[\s\S]*/, 'trials: []\n')],
    ['a mistyped key of a trial', ONE.replace('log:', 'lgo:')],
    ['a mistyped key of a run', ONE.replace('score: 9', 'scor: 9')],
    ['a list where a value belongs', ONE.replace('chip: B', 'chip: [ B ]')],
    ['levels that are no list', ONE.replace('log: a.csv', 'noted: { power: 9 W }')],
    ['a workload of many without a name', MANY.replace('name: render, ', '')],
    ['a mistyped key of a workload', MANY.replace('score: points', 'scor: points')],
    ['one workload and many', `${MANY}workload: { name: render, score: points, better: higher }\n`],
    ['a log', 'time_s,power_w'],
  ])('refuses a sheet with %s, as the reader does', (_what, text) => {
    expect(() => parseReview(text, 'a.yaml')).toThrow()
    expect(validate(parse(text))).toBe(false)
  })
})
