import Papa from 'papaparse'
import { describe, expect, it } from 'vitest'
import { runInside } from '../commandLine.js'

/** Each command with a table, and a figure of its JSON with the place of the same figure in the table. */
const COMMANDS: readonly (readonly [string, string, (document: never) => Value, string])[] = [
  ['stages', 'samples/heron-loop.csv', (d: Stages) => d.loads[0]!.stages[2]!.levelW, 'mean power (W)'],
  ['fit', 'samples/bittern-noted.yaml', (d: Fitted) => d.chip.curve[0]!.score, 'score (points)'],
  [
    'project',
    'samples/bittern-noted.yaml --sustained 80W',
    (d: Projected) => d.first.score,
    'score (points)',
  ],
  [
    'compare',
    'samples/heron-compile.yaml samples/ibis-compile.yaml --at 60W',
    (d: Compared) => d.at[0]!.scores[0]!.score,
    'score (s)',
  ],
  [
    'explain',
    'samples/heron-compile.yaml samples/ibis-compile.yaml',
    (d: Explained) => d.parts[0]!.percent,
    'change (%)',
  ],
  ['plan', 'samples/heron-compile.yaml', (d: Planned) => d.settleS, 'value'],
  [
    'survey',
    'samples/heron-compile.yaml samples/ibis-compile.yaml',
    (d: Surveyed) => d.workloads[0]!.machines[0]!.sustainedW,
    'sustained power (W)',
  ],
]

interface Value {
  readonly value: number
  readonly low: number
  readonly high: number
}
interface Stages {
  readonly loads: { readonly stages: { readonly levelW: Value }[] }[]
}
interface Fitted {
  readonly chip: { readonly curve: { readonly score: Value }[] }
}
interface Projected {
  readonly first: { readonly score: Value }
}
interface Compared {
  readonly at: { readonly scores: { readonly score: Value }[] }[]
}
interface Explained {
  readonly parts: { readonly percent: Value }[]
}
interface Planned {
  readonly settleS: Value
}
interface Surveyed {
  readonly workloads: { readonly machines: { readonly sustainedW: Value }[] }[]
}

describe('the table alone', () => {
  it.each(COMMANDS)('of %s has the figures of its JSON', async (command, words, figure, column) => {
    const line = [command, ...words.split(' ')]
    const [csv, json] = [await runInside([...line, '--csv']), await runInside([...line, '--json'])]
    expect([csv.status, json.status]).toEqual([0, 0])
    const rows = Papa.parse<Record<string, string>>(csv.stdout.split('\n\n')[0]!.trim(), {
      header: true,
      skipEmptyLines: true,
    }).data
    const whole = figure(JSON.parse(json.stdout) as never)
    const nearest = Math.min(...rows.map((row) => Math.abs(Number(row[column]) - whole.value)))
    expect(rows[0]).toHaveProperty([column])
    // The last digit printed is finer than half of the interval.
    expect(nearest).toBeLessThanOrEqual((whole.high - whole.low) / 2 + 1e-9)
  })

  it('is printed in Markdown and HTML too, and never beside JSON', async () => {
    const line = ['stages', 'samples/heron-loop.csv']
    expect((await runInside([...line, '--markdown'])).stdout).toMatch(/^\| log/)
    expect((await runInside([...line, '--html'])).stdout).toMatch(/^<table>/)
    expect((await runInside([...line, '--csv', '--json'])).status).toBe(2)
  })

  it('of many files is one table', async () => {
    const { stdout, status } = await runInside(['stages', 'samples', '--csv'])
    expect(status).toBe(0)
    const rows = Papa.parse<string[]>(stdout.trim()).data
    expect(new Set(rows.slice(1).map(([log]) => log)).size).toBe(12)
  })

  it('of a check keeps the exit status of the check', async () => {
    const { status, stdout } = await runInside(['check', 'samples/heron.yaml', '--csv'])
    expect(status).toBe(0)
    expect(stdout).toMatch(/^file,severity,code/)
  })
})
