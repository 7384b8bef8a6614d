import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { stagesDocument } from '../../src/cli/output/stagesDocument.js'
import { fittedTogether, scoredSheets } from '../../src/desk/state/desk.js'
import { formatDesk, parseDesk } from '../../src/desk/state/deskFile.js'
import { sheetFields, withField } from '../../src/desk/state/sheetFields.js'
import { InputError } from '../../src/errors.js'
import type { FormulaOptions } from '../../src/log/formula/formulaOptions.js'
import { readFormula, withFormulas } from '../../src/log/formula/withFormulas.js'
import { parseLog } from '../../src/log/parseLog.js'
import type { ParsedLog } from '../../src/log/trace.js'
import { draftSheet } from '../../src/machine/draftSheet.js'
import { placeRuns } from '../../src/machine/runs/placeRuns.js'
import { chassisSchema, chipSchema } from '../../src/model/modelSchema.js'
import { parseModel } from '../../src/model/parseModel.js'
import { tabulateCurve } from '../../src/model/tabulateCurve.js'
import type { Chip } from '../../src/physics/chip/chip.js'
import type { Chassis } from '../../src/physics/loop/chassis.js'
import { projectScore } from '../../src/predict/projection/projectScore.js'
import { findLoads } from '../../src/segment/findLoads.js'
import type { Load } from '../../src/segment/load.js'
import { parseScoreTable, type ScoreTable } from '../../src/sheet/draft/parseScoreTable.js'
import type { ScoreSource } from '../../src/sheet/draft/scoreFormula.js'
import { parseScore } from '../../src/sheet/parseScore.js'
import { parseSheet } from '../../src/sheet/parseSheet.js'
import type { LoggedTrial } from '../../src/sheet/testSheet.js'
import { sayStages } from '../../src/show/terminal/stages/sayStages.js'
import { type Ended, runInside } from '../cli/commandLine.js'
import { findUnsound } from './findUnsound.js'
import { FORMULA_LOG } from './fuzzBase.js'
import { type FuzzCase, type FuzzKind, makeInput } from './fuzzCase.js'

/** How an input ended, as the summary counts it: `refused: code`, `result`, `result, mended`, `command: status`. */
export type Outcome = string

/** What an input may never do; the message says which promise was broken and how. */
export class BrokenPromise extends Error {}

/**
 * Tries one case.
 *
 * @param makeBytes - the input; made from the case when left out
 * @throws BrokenPromise, or whatever the code under test threw that is no InputError
 */
export async function judgeCase(fuzzCase: FuzzCase, bytes = makeInput(fuzzCase)): Promise<Outcome> {
  if (fuzzCase.asCommand) return judgeCommands(fuzzCase.kind, bytes)
  try {
    return await JUDGES[fuzzCase.kind](bytes)
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    requireSpeakable(error)
    return `refused: ${error.code}`
  }
}

const JUDGES: { readonly [kind in FuzzKind]: (bytes: Uint8Array) => Outcome | Promise<Outcome> } = {
  log: (bytes) => judgeLog(bytes),
  session: (bytes) => judgeLog(bytes),
  pairs: (bytes) => judgeLog(bytes),
  formula: judgeFormula,
  scores: judgeScores,
  desk: judgeDesk,
  sheet: judgeSheet,
  chip: judgeChip,
  chassis: judgeChassis,
}

function judgeLog(bytes: Uint8Array, options: FormulaOptions = {}): Outcome {
  const log = parseLog(bytes, { ...options, file: 'log.csv' })
  requireTrace(log)
  const loads = findLoads(log.trace)
  requireSound({ trace: log.trace, loads })
  loads.forEach(requireOrder)
  const path = 'log.csv'
  const numbers = loads.map((_, index) => index + 1)
  requireSound(stagesDocument({ path, log, loads, numbers }))
  const { trace, columns, skipped } = log
  requireWords(
    sayStages(
      { path, trace, columns, skipped, loads, numbers, found: loads.length },
      { width: 80, colour: false },
    ),
  )
  return log.repairs.length + log.skipped.length > 0 ? 'result, mended' : 'result'
}

function requireTrace({ trace, columns }: ParsedLog): void {
  const n = trace.timesS.length
  promise(n >= 2, `a trace has ${n} samples`)
  for (const series of [trace.powerW, trace.temperatureC ?? trace.powerW, trace.clockHz ?? trace.powerW])
    promise(series.length === n, 'columns of a trace differ in length')
  promise(trace.timesS[0] === 0, `a trace begins at ${trace.timesS[0]} s`)
  for (let i = 1; i < n; i++)
    promise(
      trace.timesS[i]! > trace.timesS[i - 1]!,
      `times don't rise at sample ${i}: ${trace.timesS.slice(i - 1, i + 1)}`,
    )
  promise(trace.intervalS > 0, `the interval is ${trace.intervalS} s`)
  const ofDay = trace.startOfDayS
  promise(ofDay === null || (ofDay >= 0 && ofDay < 86_400), `the time of day is ${ofDay} s`)
  promise(typeof columns.power === 'string', 'no power column is named')
}

function requireOrder(load: Load): void {
  const { startS, endS, stages, runs } = load
  promise(startS <= endS, `a load ends before it begins: ${startS} to ${endS} s`)
  promise(stages.length > 0, 'a load has no stage')
  promise(stages[0]!.startS === startS && stages.at(-1)!.endS === endS, 'stages do not span their load')
  stages.forEach((stage, i) => {
    promise(stage.startS <= stage.endS, `a stage ends before it begins: ${stage.startS} to ${stage.endS} s`)
    promise(i === 0 || stage.startS === stages[i - 1]!.endS, 'stages leave a hole or overlap')
  })
  runs.forEach((run, i) => {
    promise(run.startS <= run.endS, `a run ends before it begins: ${run.startS} to ${run.endS} s`)
    promise(i === 0 || run.startS >= runs[i - 1]!.endS, 'runs overlap')
  })
}

/** As the power of a log, and as the score of a table. */
async function judgeFormula(bytes: Uint8Array): Promise<Outcome> {
  const text = new TextDecoder().decode(bytes)
  const outcome = judgeLog(Buffer.from(FORMULA_LOG), await withFormulas({ power: text }))
  const table = FORMULA_LOG.replace('time_s', 'run').split('\n').slice(0, 9).join('\n')
  try {
    requireScores(table, { score: text, formula: await readFormula(text) })
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    requireSpeakable(error)
  }
  return outcome
}

function judgeScores(bytes: Uint8Array): Outcome {
  const scores = requireScores(new TextDecoder().decode(bytes), {})
  const { log, loads } = sampleLog()
  const drafted = loads.map((load, i) => ({ log: 'heron-loop.csv', number: i + 1, load, trace: log.trace }))
  const { placed, better } = draftSheet({ loads: drafted, chosen: [1], scores, workload: 'tiles' })
  // A run without a time of its own is placed by its order.
  requireSound([...placed.byLoad.values()].flat().map(({ startS: _start, endS: _end, ...rest }) => rest))
  promise(better === null || better === 'higher' || better === 'lower', `better is ${better}`)
  return placed.unplaced.length > 0 ? 'result, mended' : 'result'
}

/** A table whose scores are numbers above zero or refused in words. */
function requireScores(text: string, source: Omit<ScoreSource, 'file'>): ScoreTable {
  const scores = parseScoreTable(text, { ...source, file: 'scores.csv' })
  for (const { score } of scores.rows) {
    try {
      const value = parseScore(score, { name: 'tiles', score: 'points', better: 'higher' })
      promise(value > 0 && Number.isFinite(value), `the score "${score}" is ${value}`)
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      requireSpeakable(error)
    }
  }
  return scores
}

/** Opens, can be looked at and changed, and comes back from being saved again. */
async function judgeDesk(bytes: Uint8Array): Promise<Outcome> {
  const { desk, blobs } = parseDesk(new TextDecoder().decode(bytes))
  for (const { text } of desk.sheets) {
    sheetFields(text)
    withField(text, 'machine', 'Heron 15')
    withField(text, 'load', '2')
  }
  // Each takes apart every other sheet.
  for (const sheet of scoredSheets(desk).slice(0, 3)) fittedTogether(desk, sheet.id)
  const again = parseDesk(await formatDesk(desk, blobs))
  promise(JSON.stringify(again.desk) === JSON.stringify(desk), 'a desk changed when it was saved and opened')
  for (const { id } of desk.logs) {
    promise(
      (again.blobs.get(id)?.size ?? 0) === (blobs.get(id)?.size ?? 0),
      'a log changed when its desk was saved',
    )
  }
  return 'result'
}

function judgeSheet(bytes: Uint8Array): Outcome {
  const sheet = parseSheet(new TextDecoder().decode(bytes), 'samples/sheet.yaml')
  const { trials, ...rest } = sheet
  requireSound(rest)
  for (const trial of trials) {
    requireSound(trial.kind === 'noted' ? trial.levels : trial.runs.map((run) => run.score))
    if (trial.kind === 'logged')
      requireSound(placeRuns(trial, sampleLog().log, sampleLog().loads, sheet).runs)
    promise(
      (trial as LoggedTrial).runs.every((run) => run.score > 0),
      'a score is not above zero',
    )
  }
  return 'result'
}

function judgeChip(bytes: Uint8Array): Outcome {
  const chip = parseModel(new TextDecoder().decode(bytes), 'chip.json', {
    format: 'holdwatt-chip',
    schema: chipSchema,
  })
  requireSound(tabulateCurve(chip))
  requireProjection({ chip, target: { sustainedW: 70, burstW: 100, burstForS: 20 } })
  return 'result'
}

function judgeChassis(bytes: Uint8Array): Outcome {
  const kind = { format: 'holdwatt-chassis', schema: chassisSchema } as const
  const target = parseModel(new TextDecoder().decode(bytes), 'chassis.json', kind)
  requireProjection({ chip: sampleChip(), target })
  return 'result'
}

function requireProjection(request: {
  chip: Chip
  target: Chassis | { sustainedW: number; burstW: number; burstForS: number }
}): void {
  const { warnings: _warnings, ...projection } = projectScore({ ...request, loop: { runs: 3, gapS: 5 } })
  requireSound(projection)
  for (const run of [projection.first, projection.steady]) {
    promise(run.score.low > 0, `a projected score is not above zero: ${run.score.low}`)
    promise(run.meanW.low >= 0, `a projected power is below zero: ${run.meanW.low}`)
  }
}

/** The command lines that an input of each kind goes through; FILE stands for it, TEXT for what is in it, OUT for a new file. */
const COMMANDS: { readonly [kind in FuzzKind]: readonly string[] } = {
  log: ['stages FILE --json', 'stages FILE', 'check FILE --json', 'plan FILE --json'],
  session: ['stages FILE --json', 'stages FILE', 'check FILE --json', 'plan FILE --json'],
  pairs: ['stages FILE --json', 'stages FILE', 'check FILE --json'],
  formula: [
    'stages samples/heron-loop.csv --power=TEXT --json',
    'draft samples/heron-loop.csv --scores FILE --score-column=TEXT --out OUT --json',
  ],
  scores: [
    'draft samples/heron-loop.csv --scores FILE --out OUT --json',
    'draft samples/heron-loop.csv --scores FILE --out OUT',
  ],
  desk: [],
  sheet: ['check FILE --json', 'fit FILE --json', 'project FILE --sustained 60W --runs 3'],
  chip: [
    'project FILE --sustained 40W:80W:20W --runs 3 --json',
    'compare FILE samples/bittern-noted.yaml',
    'project FILE --sustained 60W --runs 3',
  ],
  chassis: ['project models/chips/merlin-12-compile.json --chassis FILE --runs 3 --json'],
}

const ENDINGS: { readonly [kind in FuzzKind]: string } = {
  log: 'csv',
  session: 'csv',
  pairs: 'csv',
  formula: 'csv',
  scores: 'csv',
  desk: 'json',
  sheet: 'yaml',
  chip: 'json',
  chassis: 'json',
}

async function judgeCommands(kind: FuzzKind, bytes: Uint8Array): Promise<Outcome> {
  const file = join(folder(), `input.${ENDINGS[kind]}`)
  writeFileSync(file, bytes)
  const statuses: number[] = []
  for (const line of COMMANDS[kind]) {
    const text = new TextDecoder().decode(bytes)
    const out = join(folder(), `out-${made++}.yaml`)
    const words = line.split(' ').map((word) =>
      word
        .replace(/^FILE$/, () => file)
        .replace(/TEXT$/, () => text)
        .replace(/^OUT$/, () => out),
    )
    const ended = await runInside(words)
    requireEnding(line, ended)
    statuses.push(ended.status)
  }
  return `command: ${Math.max(...statuses)}`
}

let made = 0

function requireEnding(line: string, { status, stdout, stderr }: Ended): void {
  promise([0, 2, 3].includes(status), `\`${line}\` ended with ${status}: ${stderr}`)
  promise(!/^\s+at .*:\d+:\d+/m.test(stderr), `\`${line}\` showed a stack: ${stderr}`)
  if (status === 2) {
    requireRefusal(line, { stdout, stderr })
    return
  }
  if (line.endsWith('--json')) {
    const { warnings: _warnings, ...document } = JSON.parse(stdout) as { warnings: unknown }
    requireSound(document)
  } else requireWords(stdout)
}

/** Words on stderr, and for who reads JSON a document with the error. */
function requireRefusal(line: string, { stdout, stderr }: Pick<Ended, 'stdout' | 'stderr'>): void {
  promise(stderr !== '', `\`${line}\` was refused without a word`)
  if (!line.endsWith('--json')) {
    promise(stdout === '', `\`${line}\` was refused with an answer`)
    return
  }
  const { error } = JSON.parse(stdout) as { error?: { code?: unknown } }
  promise(typeof error?.code === 'string', `\`${line}\` was refused without an error document`)
}

function requireSound(result: unknown): void {
  const unsound = findUnsound(result)
  promise(unsound.length === 0, unsound.slice(0, 5).join('; '))
}

function requireWords(text: string): void {
  const found = /NaN|Infinity|undefined|\[object|null/.exec(text)
  promise(
    found === null,
    `the text says "${text.slice(Math.max(0, (found?.index ?? 0) - 60), (found?.index ?? 0) + 30)}"`,
  )
}

function requireSpeakable(error: InputError): void {
  for (const each of [error, ...(error.details.others ?? [])]) {
    promise(/^[a-z]+(-[a-z]+)+$/.test(each.code), `the code \`${each.code}\` is none`)
    promise(
      each.message.length > 0 && each.message.length <= 600,
      `a message of ${each.message.length} characters`,
    )
    promise(!/\[object|function |\bat \S+:\d+/.test(each.message), `a message for nobody: ${each.message}`)
  }
}

function promise(kept: boolean, broken: string): asserts kept {
  if (!kept) throw new BrokenPromise(broken)
}

const once = <T>(make: () => T): (() => T) => {
  let made: { readonly value: T } | undefined
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

const sampleLog = once((): { log: ParsedLog; loads: readonly Load[] } => {
  const log = parseLog(readFileSync('samples/heron-loop.csv'))
  return { log, loads: findLoads(log.trace) }
})

const sampleChip = once((): Chip => {
  const text = readFileSync('models/chips/merlin-12.json', 'utf8')
  const chip = parseModel(text, 'chip.json', { format: 'holdwatt-chip', schema: chipSchema })
  const draws = chip.draws.filter((_, i) => i % 20 === 0)
  return { ...chip, draws: draws.map((draw) => ({ ...draw, weight: 1 / draws.length })) }
})

const folder = once(() => mkdtempSync(join(tmpdir(), 'holdwatt-fuzz-')))
