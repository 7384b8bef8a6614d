import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runInside } from '../commandLine.js'

const folder = mkdtempSync(join(tmpdir(), 'holdwatt-parts-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const put = (name: string, text: string) => {
  writeFileSync(join(folder, name), text)
  return join(folder, name)
}

/** From 14:00:00: a minute of idle, 40 W for four minutes, a minute of idle, 25 W for four, idle. */
const rows = Array.from({ length: 660 }, (_, second) => {
  const levelW = second < 60 ? 4 : second < 300 ? 40 : second < 360 ? 4 : second < 600 ? 25 : 4
  const stamp = new Date(Date.UTC(2026, 2, 1, 14, 0, second)).toISOString().slice(11, 19)
  return `${stamp},${(levelW + ((second * 7) % 5) / 10).toFixed(1)}`
})
const log = put('wren.csv', `time,power_w\n${rows.join('\n')}\n`)

interface Stages {
  readonly loads: readonly { readonly number: number; readonly startS: number; readonly sustained: object }[]
}

async function stagesOf(...words: readonly string[]) {
  const { status, stdout, stderr } = await runInside(['stages', log, ...words, '--json'])
  return { status, stderr, loads: status === 0 ? (JSON.parse(stdout) as Stages).loads : [] }
}

const sheet = (trials: string) =>
  `machine: Wren 13\nchip: Wrentit\nchassis: Wren flat\nworkload: { name: render, score: points, better: higher }\ntrials:\n${trials}`

async function powersOf(trials: string): Promise<readonly number[]> {
  const { status, stdout, stderr } = await runInside(['fit', put('wren.yaml', sheet(trials)), '--json'])
  expect([status, stderr]).toEqual([0, expect.anything()])
  return (JSON.parse(stdout) as { runs: { meanW: number }[] }).runs.map(({ meanW }) => Math.round(meanW))
}

describe('a part of a session', () => {
  it('is one load by its number, which it keeps', async () => {
    const { loads } = await stagesOf('--load', '2')
    expect(loads).toHaveLength(1)
    expect(loads[0]).toMatchObject({ number: 2, startS: 359.5 })
  })

  it.each([
    ['elapsed', ['--from', '05:30']],
    ['a time of day', ['--from', '14:05:30', '--to', '14:10:30']],
  ])('is what lies between two times, %s', async (_, words) => {
    const { loads } = await stagesOf(...words)
    expect(loads).toHaveLength(1)
    expect(loads[0]).toMatchObject({ number: 1, startS: 359.5 })
  })

  it.each([
    [['--load', '3'], 'from 1 to 2'],
    [['--load', 'two'], 'number of a load'],
    [['--from', 'noon'], 'noon'],
    [['--from', '20:00:00'], 'lasts 659 s'],
    [['--from', '300', '--to', '200'], 'ends after it starts'],
  ])('is refused where there is none: %j', async (words, said) => {
    const { status, stderr } = await stagesOf(...words)
    expect([status, stderr]).toEqual([2, expect.stringContaining(said)])
  })

  it('is checked and planned for alone', async () => {
    const check = await runInside(['check', log, '--load', '1', '--json'])
    const plan = await runInside(['plan', log, '--from', '05:30', '--json'])
    expect([check.status === 2, plan.status]).toEqual([false, 0])
  })
})

describe('a session in the terminal', () => {
  it('has its loads on one axis and a line a load, then each with its own plot and times', async () => {
    const { stdout } = await runInside(['stages', log])
    expect(stdout).toMatch(/▏load 1 +▏load 2/)
    expect(stdout).toMatch(/^ +2 +6:00 +4 min /m)
    expect(stdout).toContain('Load 1 of 2: 1:00 to 5:00 of the log; times below count from 1:00')
    expect(stdout).toContain('Load 2 of 2: 6:00 to 10:00 of the log; times below count from 6:00')
    expect(stdout.match(/shape/g)).toHaveLength(2)
  })

  it('shows one load alone when it is asked for', async () => {
    const { stdout } = await runInside(['stages', log, '--load', '2'])
    expect(stdout).toContain('Load 2 of 2')
    expect(stdout).not.toMatch(/Load 1 of 2|▏load 1/)
  })

  it('of many loads is a line a load, and says how to see one', async () => {
    // Eight loads of their own lengths and powers, two minutes of idle before each.
    const levels = [60, 20, 45, 15, 70, 30, 50, 25].flatMap((watts, k) => [
      ...Array.from({ length: 120 }, () => 4),
      ...Array.from({ length: 150 + 90 * ((3 * k) % 8) }, () => watts),
    ])
    const many = levels.map((watts, second) => `${second},${watts + ((second * 7) % 5) / 10}`)
    const { stdout } = await runInside(['stages', put('many.csv', `time_s,power_w\n${many.join('\n')}\n`)])
    expect(stdout).toMatch(/^ +8 +\d+:\d\d/m)
    expect(stdout).toContain('--load N')
    expect(stdout).not.toContain('Load 3 of')
  })
})

describe('a sheet of a session', () => {
  it('takes a load by number or by times', async () => {
    expect(await powersOf('  - { log: wren.csv, load: 1, runs: [ { score: 1000 } ] }\n')).toEqual([40])
    expect(
      await powersOf('  - { log: wren.csv, from: "14:05:30", to: 10 min, runs: [ { score: 700 } ] }\n'),
    ).toEqual([25])
  })

  it('takes its runs from a table: rows of its own load, each by its time or in order', async () => {
    put(
      'scores.tsv',
      'load\tstart\tend\tfps\tlow\n1\t65\t170\t1000\t1\n2\t\t\t700\t2\n1\t14:03:00\t295\t1010\t3\n',
    )
    const one = '  - { log: wren.csv, load: 1, runs: { file: scores.tsv, score: fps } }\n'
    const two = '  - { log: wren.csv, load: 2, runs: { file: scores.tsv, score: fps } }\n'
    expect(await powersOf(one)).toEqual([40, 40])
    expect(await powersOf(one + two)).toEqual([40, 40, 25])
  })

  it('tells a row that fits no run', async () => {
    put('late.csv', 'start,score\n65,1000\n5000,1\n')
    const path = put('late.yaml', sheet('  - { log: wren.csv, load: 1, runs: { file: late.csv } }\n'))
    const { stdout } = await runInside(['fit', path, '--json'])
    const { warnings } = JSON.parse(stdout) as { warnings: object[] }
    expect(warnings).toContainEqual(
      expect.objectContaining({ code: 'score-unplaced', message: expect.stringContaining('late.csv:3: ') }),
    )
  })

  it.each([
    ['{ file: none.csv }', 'not there'],
    ['{ file: scores.tsv, score: points }', 'points'],
    ['{ fil: scores.tsv }', 'was `file` meant'],
    ['{ score: fps }', 'runs.file'],
    ['fast', 'expected a list of runs'],
  ])('says what is wrong with a table of runs: %s', async (runs, said) => {
    const path = put('wrong.yaml', sheet(`  - { log: wren.csv, load: 1, runs: ${runs} }\n`))
    const { status, stderr } = await runInside(['fit', path])
    expect([status, stderr]).toEqual([2, expect.stringContaining(said)])
  })

  it('calls a mistyped score a score', async () => {
    const text = sheet('  - { log: wren.csv, load: 1, runs: [ { score: 27o } ] }\n')
    const { status, stderr } = await runInside([
      'fit',
      put('typo.yaml', text.replace('score: points, better: higher', 'score: s, better: lower')),
    ])
    expect([status, stderr]).toEqual([2, expect.stringContaining('expected a score')])
  })
})
