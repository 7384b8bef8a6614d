import { execFile } from 'node:child_process'
import { copyFileSync, existsSync, symlinkSync } from 'node:fs'
import { resolve } from 'node:path'
import { promisify } from 'node:util'
import { beforeAll, describe, expect, it } from 'vitest'
import { BAD_LOG, makeArchive } from '../cli/archive/archive.js'
import { runInsideAt } from '../cli/commandLine.js'

// The recipe of the guide of archives that asks a database about the results of many logs. `.ci/run` installs the database, which
// is no part of the project; each answer is held to the same worked out in plain JavaScript.

const database = resolve('node_modules/.cache/database/node_modules')
const isThere = existsSync(database)
if (!isThere)
  console.log('no database in node_modules/.cache/database (.ci/run installs it): its recipe is left out')

/** Invented models: what their machines hold in the middle, and whether heat or a limit holds it. */
const MODELS = [
  { name: 'heron-14', holdW: 44, byHeat: false },
  { name: 'ibis-15', holdW: 38, byHeat: true },
  { name: 'bittern-17', holdW: 71, byHeat: false },
  { name: 'plover-13', holdW: 21, byHeat: true },
]
const LOGS = 400
/** One of so many logs is no log. */
const BAD_EVERY = 97

const { folder, write, path } = makeArchive()
const run = promisify(execFile)

/** A quarter of an hour of a machine, a sample each 10 s: idle, then twice what it holds, then what it holds with a little ripple. */
function machineLog(number: number, { holdW, byHeat }: (typeof MODELS)[number]): string {
  const ownW = holdW * (1 + 0.04 * Math.sin(number) + (number % 143 === 0 ? 0.2 : 0))
  const rows = Array.from({ length: 90 }, (_, s) => {
    const fallen = byHeat ? Math.exp(-Math.max(0, s - 20) / 8) : 0
    const powerW = s < 8 ? 4 : s < 20 ? 2 * ownW : ownW * (1 + fallen)
    const heatC = s < 8 ? 40 : byHeat ? 97 - 45 * Math.exp((8 - s) / 3) : 70 - 25 * Math.exp((8 - s) / 6)
    return `${10 * s},${(powerW + ((s * 7) % 5) / 20).toFixed(2)},${heatC.toFixed(0)}`
  })
  return `time_s,power_w,temp_c\n${rows.join('\n')}\n`
}

interface Line {
  readonly path: string
  readonly loads?: readonly {
    readonly stages: readonly { readonly heldBy: { readonly label: string } }[]
    readonly sustained: { readonly reached: boolean; readonly levelW: { readonly value: number } }
  }[]
}
interface Model {
  readonly model: string
  readonly medianW: number
  readonly [count: string]: number | string
}
interface Outlier {
  readonly path: string
  readonly percent: number
}

describe.skipIf(!isThere)('the database of the guide', () => {
  let lines: readonly Line[] = []
  let answers: readonly [readonly Model[], readonly Outlier[]] = [[], []]

  beforeAll(async () => {
    for (let number = 0; number < LOGS; number++) {
      const model = MODELS[number % MODELS.length]!
      const text = number % BAD_EVERY === 0 ? BAD_LOG : machineLog(number, model)
      write(`archive/${model.name}/${String(number).padStart(4, '0')}.csv`, text)
    }
    const { stdout } = await runInsideAt(folder, ['stages', 'archive', '--json-lines'])
    write('stages.jsonl', stdout)
    lines = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Line)
    for (const name of ['fleet.mjs', 'fleet.sql']) copyFileSync(`samples/guides/${name}`, path(name))
    symlinkSync(database, path('node_modules'))
    const asked = await run(process.execPath, ['fleet.mjs', 'stages.jsonl', '--json'], { cwd: folder })
    answers = asked.stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line)) as unknown as typeof answers
  })

  const modelOf = ({ path: log }: { readonly path: string }) => log.split('/').at(-2)!
  const last = (line: Line) => line.loads?.at(-1)
  const settledW = (name: string) =>
    lines
      .filter((line) => modelOf(line) === name && last(line)?.sustained.reached === true)
      .map((line) => last(line)!.sustained.levelW.value)

  it('tells the middle of what each model holds, what came of its logs, and how many heat holds', () => {
    expect(lines).toHaveLength(LOGS)
    const [models] = answers
    expect(models.map(({ model }) => model)).toEqual(['bittern-17', 'heron-14', 'ibis-15', 'plover-13'])
    for (const found of models) {
      const own = lines.filter((line) => modelOf(line) === found.model)
      expect(found.medianW).toBeCloseTo(median(settledW(found.model)), 1)
      const isHot = (line: Line) => last(line)?.stages.at(-1)?.heldBy.label === 'heat'
      expect({ ...found, low5W: 0, medianW: 0, high5W: 0 }).toEqual({
        model: found.model,
        logs: String(own.length),
        withoutResult: String(own.filter((line) => last(line) === undefined).length),
        unsettled: String(own.filter((line) => last(line)?.sustained.reached === false).length),
        heldByHeat: String(own.filter(isHot).length),
        low5W: 0,
        medianW: 0,
        high5W: 0,
      })
    }
    const sum = (field: string) => models.reduce((total, found) => total + Number(found[field]), 0)
    expect(sum('withoutResult')).toBe(Math.ceil(LOGS / BAD_EVERY))
    expect(sum('heldByHeat')).toBeGreaterThan(100)
  })

  it('tells the machines that are furthest from the middle of their model', () => {
    const medians = new Map(MODELS.map(({ name }) => [name, median(settledW(name))]))
    const ranked = lines
      .filter((line) => last(line)?.sustained.reached === true)
      .map((line) => {
        const away = last(line)!.sustained.levelW.value / medians.get(modelOf(line))! - 1
        return { path: line.path, percent: Math.round(1000 * away) / 10, away: Math.abs(away) }
      })
      .sort((a, b) => b.away - a.away)
    expect(answers[1]).toHaveLength(20)
    expect(answers[1].map(({ path: log }) => log)).toEqual(ranked.slice(0, 20).map(({ path: log }) => log))
    for (const [k, { percent }] of answers[1].entries()) expect(percent).toBeCloseTo(ranked[k]!.percent, 0)
  })
})

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b)
  const half = sorted.length / 2
  return sorted.length % 2 === 1 ? sorted[Math.floor(half)]! : (sorted[half - 1]! + sorted[half]!) / 2
}
