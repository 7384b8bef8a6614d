import { InputError } from '../../errors.js'
import { listNames } from '../../log/table/listNames.js'
import { plainText } from '../../log/table/plainText.js'
import type { DraftWorkload } from '../../sheet/draft/formatReviewDraft.js'
import type { LoadChoice } from '../../sheet/draft/loadChoice.js'
import { isSameName, logsNaming } from '../../sheet/draft/logsNaming.js'
import type { TableMetric } from '../../sheet/draft/metricColumns.js'
import type { ReviewRow, ReviewTable } from '../../sheet/draft/parseReviewTable.js'
import { type PlacedTest, placeReview, type UnplacedRow } from '../../sheet/draft/placeReview.js'
import { type DraftLoad, isOfLog } from '../../sheet/draft/placeScores.js'

/** What the sheets of a review are drafted from. */
export interface ReviewRequest {
  /** Every load of every log, in the order of the logs. */
  readonly loads: readonly DraftLoad[]
  readonly table: ReviewTable | undefined
  /** The machine whose rows are taken; undefined for all. */
  readonly machine: string | undefined
  /** The workload whose rows are taken, or of all rows where the table names none. */
  readonly workload: string | undefined
  readonly choices: readonly LoadChoice[]
}

/** What one machine's sheet is to hold. */
export interface MachineDraft {
  /** Null where neither the table nor the user named it. */
  readonly machine: string | null
  readonly chip: string | null
  readonly chassis: string | null
  readonly workloads: readonly DraftWorkload[]
  readonly tests: readonly PlacedTest[]
  readonly unplaced: readonly UnplacedRow[]
  /** Every load of the machine's logs. */
  readonly loads: readonly DraftLoad[]
}

/**
 * Decides which sheets a review has, one a machine, and what each holds.
 *
 * A log is of the machine that its path names, as `logsNaming` says; with one machine in the table, of that one.
 *
 * @returns in the order of the table; rows that name no machine where others do, or no workload, are unplaced in the first
 * @throws InputError `workload-missing`, `machine-unknown`, `place-unknown`
 */
export function draftReview(request: ReviewRequest): readonly MachineDraft[] {
  const { loads, table, machine } = request
  const rows = rowsOf(request)
  const workloads = namesOf(rows, 'workload')
  const known = rows.length === 0 ? request.choices.map(({ workload }) => workload) : workloads
  refuseUnknown(request.choices, known, loads)
  const machines = namesOf(rows, 'machine')
  const asked = machinesAsked(machines, machine)
  const modes = namesOf(rows, 'mode')
  return asked.map((name, index) => {
    const named =
      machines.length === 0 ? rows : rows.filter((row) => isSameName(row.machine ?? '', name ?? ''))
    const whole = named.filter((row) => row.workload !== null && Object.keys(row.values).length > 0)
    const choices = request.choices.filter(
      (choice) => choice.machine === null || isSameName(choice.machine, name ?? ''),
    )
    const own = loadsOf(loads, name, { machines, choices: asked.length === 1 ? choices : [] })
    const { tests, unplaced } = placeReview({
      loads: own,
      rows: whole,
      choices: choices.filter((choice) => isFor(choice, own)),
      modes,
      workloads,
    })
    const lacking = named.filter((row) => !whole.includes(row)).map(sayLacking)
    const nobodys = index > 0 || machines.length === 0 ? [] : rows.filter((row) => row.machine === null)
    return {
      machine: name,
      chip: whole.find(({ chip }) => chip !== null)?.chip ?? null,
      chassis: whole.find(({ chassis }) => chassis !== null)?.chassis ?? null,
      workloads: known
        .filter((workload) => tests.some((test) => isSameName(test.workload, workload)))
        .map((workload) => ({ name: workload, metrics: metricsOf(workload, rows, table) })),
      tests,
      unplaced: [...unplaced, ...lacking, ...nobodys.map(sayLacking)].sort((a, b) => a.line - b.line),
      loads: own,
    }
  })
}

/** The table with the direction of each metric settled; what nobody knows is refused. @throws InputError `metric-direction` */
export function settleMetrics(
  table: ReviewTable,
  answers: ReadonlyMap<string, 'higher' | 'lower'> = new Map(),
): ReviewTable {
  const metrics = table.metrics.map((metric) => ({
    ...metric,
    better: metric.better ?? answers.get(metric.name) ?? null,
  }))
  const open = metrics.filter(({ better }) => better === null).map(({ name }) => name)
  if (open.length === 0) return { ...table, metrics }
  const listed = metrics.map(
    ({ name, better, unit }) =>
      `${name}${better === null ? ' higher UNIT' : unit === name ? '' : ` ${better} ${unit}`}`,
  )
  throw new InputError(
    'metric-direction',
    `expected to know which is better, higher or lower, got no word on ${listNames(open)}`,
    {
      where: { file: table.file, line: 1 },
      remedy: `name the columns that are scores, as in --metrics "${plainText(listed.join(', '), LONGEST_REMEDY)}"`,
    },
  )
}

const LONGEST_REMEDY = 300

function rowsOf({ table, workload }: ReviewRequest): readonly ReviewRow[] {
  if (table === undefined) return []
  const isNamed = table.rows.some((row) => row.workload !== null)
  if (!isNamed && workload === undefined) {
    const message = `expected a column "workload" in the table, got ${listNames(table.headings)}`
    throw new InputError('workload-missing', message, {
      where: { file: table.file, line: 1 },
      remedy: 'head the column of workloads with it, or name the one workload with --workload',
    })
  }
  if (!isNamed) return table.rows.map((row) => ({ ...row, workload: workload! }))
  return table.rows.filter((row) => workload === undefined || isSameName(row.workload ?? '', workload))
}

function namesOf(rows: readonly ReviewRow[], key: 'workload' | 'machine' | 'mode'): readonly string[] {
  const names = new Map<string, string>()
  for (const row of rows) {
    const name = row[key]
    if (name !== null && !names.has(name.toLowerCase())) names.set(name.toLowerCase(), name)
  }
  return [...names.values()]
}

function machinesAsked(machines: readonly string[], asked: string | undefined): readonly (string | null)[] {
  if (asked === undefined) return machines.length === 0 ? [null] : machines
  if (machines.length === 0 || machines.some((name) => isSameName(name, asked))) return [asked]
  throw new InputError(
    'machine-unknown',
    `expected a machine of the table, got --machine "${plainText(asked)}"`,
    { remedy: `known there: ${listNames(machines)}` },
  )
}

/** The loads of a machine's logs: those that name it, and where one machine is drafted those that a person chose for it. */
function loadsOf(
  loads: readonly DraftLoad[],
  machine: string | null,
  { machines, choices }: { readonly machines: readonly string[]; readonly choices: readonly LoadChoice[] },
): readonly DraftLoad[] {
  const own = logsNaming(loads, ({ log }) => log, machine, machine === null ? [] : [...machines, machine])
  const isChosen = (load: DraftLoad) =>
    choices.some(
      (choice) => choice.load !== 'none' && choice.load.log !== null && isOfLog(load, choice.load.log),
    )
  return loads.filter((load) => own.includes(load) || isChosen(load))
}

/** Of several machines, a choice is for those that have its log; `none` and bare numbers are for all. */
function isFor({ load }: LoadChoice, loads: readonly DraftLoad[]): boolean {
  return load === 'none' || load.log === null || loads.some((each) => isOfLog(each, load.log!))
}

function refuseUnknown(
  choices: readonly LoadChoice[],
  workloads: readonly string[],
  loads: readonly DraftLoad[],
): void {
  for (const { workload, load } of choices) {
    if (!workloads.some((name) => isSameName(name, workload))) {
      throw new InputError(
        'place-unknown',
        `expected a workload of the table, got "${plainText(workload)}"`,
        {
          remedy: `known there: ${listNames(workloads)}`,
        },
      )
    }
    if (load === 'none' || load.log === null || loads.some((each) => isOfLog(each, load.log!))) continue
    throw new InputError('place-unknown', `expected one of the logs, got "${plainText(load.log)}"`, {
      remedy: `known are: ${listNames([...new Set(loads.map(({ log }) => log))])}`,
    })
  }
}

/** Metrics that any row of a workload has, of whatever machine: so sheets of several machines are alike. */
function metricsOf(
  workload: string,
  rows: readonly ReviewRow[],
  table: ReviewTable | undefined,
): readonly TableMetric[] {
  const own = rows.filter((row) => row.workload !== null && isSameName(row.workload, workload))
  const found = (table?.metrics ?? []).filter(({ name }) =>
    own.some(({ values }) => values[name] !== undefined),
  )
  return found.length > 0 ? found : [{ name: 'score', unit: 'points', better: 'higher' }]
}

function sayLacking(row: ReviewRow): UnplacedRow {
  const what = row.workload === null ? 'workload' : Object.keys(row.values).length === 0 ? 'score' : 'machine'
  const score = Object.values(row.values)[0] ?? ''
  return {
    line: row.line,
    workload: row.workload ?? '',
    mode: row.mode,
    score,
    reason:
      row.unreadable === null ? `the row names no ${what}` : `"${plainText(row.unreadable)}" is no score`,
  }
}
