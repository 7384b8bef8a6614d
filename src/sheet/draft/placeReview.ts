import { meanOf } from '../meanOf.js'
import type { LoadChoice } from './loadChoice.js'
import { isSameName, logsNaming } from './logsNaming.js'
import type { ReviewRow } from './parseReviewTable.js'
import { type DraftLoad, type DraftScore, isOfLog, placeScores } from './placeScores.js'

/** A workload in one mode, with the load that it was, and its runs. */
export interface PlacedTest {
  readonly workload: string
  readonly mode: string | null
  /** Null: no power was logged. */
  readonly load: DraftLoad | null
  readonly runs: readonly PlacedRow[]
}

/** A row of the table and when its run began and ended; null where the sheet's reader is to find the run, in order. */
export interface PlacedRow extends Pick<DraftScore, 'startS' | 'endS' | 'of' | 'isSupposed'> {
  readonly row: ReviewRow
}

/** What of a machine's table has a place, and what has none, each with the reason. */
export interface PlacedReview {
  readonly tests: readonly PlacedTest[]
  readonly unplaced: readonly UnplacedRow[]
}

export interface UnplacedRow {
  readonly line: number
  readonly workload: string
  readonly mode: string | null
  readonly score: string
  readonly reason: string
}

/** What a machine's rows are placed by. */
export interface ReviewPlaces {
  /** Every load of the machine's logs, in the order of the logs. */
  readonly loads: readonly DraftLoad[]
  readonly rows: readonly ReviewRow[]
  readonly choices: readonly LoadChoice[]
  /** Names of modes and workloads in the table, of all machines. */
  readonly modes: readonly string[]
  readonly workloads: readonly string[]
}

/**
 * Finds the load of each workload and mode of one machine, and the run of each row.
 *
 * A person's choice comes first; then what the row names (log, load) and when its run began; then the order of the table, where what is left of
 * one log has as many loads as the table has workloads left for it, each with as many runs as rows (or without pauses to tell runs by). A log
 * is of the mode or workload that its path names. In a table with a row a workload, a row that doesn't say of how many runs it is the mean is
 * taken as that of all runs of its load. Nothing is guessed: the rest is returned with the reason.
 */
export function placeReview(places: ReviewPlaces): PlacedReview {
  const groups = groupsOf(places)
  const tests: PlacedTest[] = []
  const unplaced: UnplacedRow[] = []
  const leaveOut = ({ workload, mode }: RowGroup, rows: readonly ReviewRow[], reason: string) => {
    for (const row of rows) unplaced.push({ line: row.line, workload, mode, score: scoreOf(row), reason })
  }
  const put = (group: RowGroup, rows: readonly ReviewRow[], loads: readonly DraftLoad[]) => {
    const { byLoad, unplaced: rest } = placeScores(
      loads,
      rows.map((row) => ({ ...row, score: scoreOf(row) })),
      isRowAWorkload(groups),
    )
    for (const [load, runs] of byLoad) {
      if (runs.length === 0 && rows.length > 0) continue
      const left = [...rows]
      const placed = runs.map(({ line, score: _, ...place }) => {
        const [row] = left.splice(
          left.findIndex((each) => each.line === line),
          1,
        )
        return { row: row!, ...place }
      })
      // Runs without times are found by their order, metric by metric: none may lack one.
      const metrics = new Set(placed.map(({ row }) => Object.keys(row.values).sort().join()))
      if (metrics.size > 1 && placed.some(({ startS }) => startS === null)) {
        leaveOut(
          group,
          placed.map(({ row }) => row),
          'runs without times need a value of every metric',
        )
      } else tests.push({ workload: group.workload, mode: group.mode, load, runs: placed })
    }
    for (const { line, reason } of rest) leaveOut(group, [rows.find((row) => row.line === line)!], reason)
  }
  const open: RowGroup[] = []
  for (const group of groups) {
    const { choice, rows, candidates } = group
    if (choice?.load === 'none') {
      const runs = rows.map((row) => ({ row, startS: null, endS: null, ...meanOf(row.runs ?? 1) }))
      tests.push({ workload: group.workload, mode: group.mode, load: null, runs })
    } else if (choice !== undefined) {
      const loads = chosenLoads(choice.load, places.loads, candidates)
      if (loads.length === 1)
        put(
          group,
          rows.map((row) => ({ ...row, load: null, log: null })),
          loads,
        )
      else leaveOut(group, rows, loads.length === 0 ? 'the log has no such load' : SEVERAL_LOGS)
    } else {
      const isDoubtful = (row: ReviewRow) =>
        row.start === null && row.load !== null && logsOf(row.load, candidates) > 1
      const isFound = (row: ReviewRow) => row.start !== null || row.load !== null
      const found = rows.filter((row) => isFound(row) && !isDoubtful(row))
      const rest = rows.filter((row) => !isFound(row))
      if (candidates.length === 0) leaveOut(group, rows, 'no log is of it')
      else {
        if (found.length > 0) put(group, found, candidates)
        leaveOut(group, rows.filter(isDoubtful), SEVERAL_LOGS)
        if (rest.length > 0) open.push({ ...group, rows: rest })
      }
    }
  }
  const pools = [...poolsOf(open)].sort((a, b) => a[0]!.candidates.length - b[0]!.candidates.length)
  for (const pool of pools) placeInOrder(pool, tests, { put, leaveOut, isMean: isRowAWorkload(groups) })
  return { tests: inOrder(tests, groups), unplaced: unplaced.sort((a, b) => a.line - b.line) }
}

const SEVERAL_LOGS = 'loads of several logs could be meant'

function logsOf(number: number, loads: readonly DraftLoad[]): number {
  return new Set(loads.filter((load) => load.number === number).map(({ log }) => log)).size
}

/** Rows of one workload in one mode, with the loads that they may be of. */
interface RowGroup {
  readonly workload: string
  readonly mode: string | null
  readonly rows: readonly ReviewRow[]
  readonly choice: LoadChoice | undefined
  readonly candidates: readonly DraftLoad[]
}

function groupsOf({ loads, rows, choices, modes, workloads }: ReviewPlaces): readonly RowGroup[] {
  const groups = new Map<string, RowGroup & { rows: ReviewRow[] }>()
  const add = (
    workload: string,
    mode: string | null,
    log: string | null,
  ): RowGroup & { rows: ReviewRow[] } => {
    const key = JSON.stringify([workload.toLowerCase(), mode?.toLowerCase(), log])
    const there = groups.get(key)
    if (there !== undefined) return there
    const pathOf = (load: DraftLoad) => load.log
    const own = log === null ? loads : loads.filter((load) => isOfLog(load, log))
    const ofMode = log === null ? logsNaming(own, pathOf, mode, modes) : own
    const candidates = log === null ? logsNaming(ofMode, pathOf, workload, workloads) : own
    const choice = choices.find(
      (each) =>
        isSameName(each.workload, workload) && (each.mode === null || isSameName(each.mode, mode ?? '')),
    )
    const group = { workload, mode, rows: [], choice, candidates }
    groups.set(key, group)
    return group
  }
  for (const row of rows) if (row.workload !== null) add(row.workload, row.mode, row.log).rows.push(row)
  // Without a table, what a person chose is all that is known.
  if (rows.length === 0) for (const { workload, mode } of choices) add(workload, mode, null)
  return [...groups.values()]
}

function chosenLoads(
  choice: Exclude<LoadChoice['load'], 'none'>,
  loads: readonly DraftLoad[],
  candidates: readonly DraftLoad[],
): readonly DraftLoad[] {
  const { log, number } = choice
  const own = log === null ? candidates : loads.filter((load) => isOfLog(load, log))
  return number === null ? own : own.filter((load) => load.number === number)
}

/** Groups that may be of the same loads: the order of the table decides among them. */
function poolsOf(open: readonly RowGroup[]): readonly (readonly RowGroup[])[] {
  const pools = new Map<string, RowGroup[]>()
  for (const group of open) {
    const key = JSON.stringify(group.candidates.map(({ log, number }) => [log, number]))
    pools.set(key, [...(pools.get(key) ?? []), group])
  }
  return [...pools.values()]
}

interface Placing {
  readonly put: (group: RowGroup, rows: readonly ReviewRow[], loads: readonly DraftLoad[]) => void
  readonly leaveOut: (group: RowGroup, rows: readonly ReviewRow[], reason: string) => void
  /** A row without a number of runs is the mean of all runs of its load. */
  readonly isMean: boolean
}

function placeInOrder(
  pool: readonly RowGroup[],
  tests: readonly PlacedTest[],
  { put, leaveOut, isMean }: Placing,
): void {
  const free = pool[0]!.candidates.filter((load) => !tests.some((test) => test.load === load))
  const reason = whyNoOrder(pool, free, isMean)
  pool.forEach((group, index) => {
    if (reason === undefined) put(group, group.rows, [free[index]!])
    else leaveOut(group, group.rows, reason)
  })
}

function whyNoOrder(
  pool: readonly RowGroup[],
  free: readonly DraftLoad[],
  isMean: boolean,
): string | undefined {
  const logs = new Set(free.map(({ log }) => log))
  if (logs.size > 1) return SEVERAL_LOGS
  if (free.length === 0) return 'no load of the log is left for it'
  if (free.length !== pool.length) {
    const left = free.length === 1 ? '1 load' : `${free.length} loads`
    return `the log has ${left} left, and the table ${pool.length === 1 ? '1 workload' : `${pool.length} workloads`} for it`
  }
  const unlike = pool.findIndex(({ rows }, index) => {
    const { runs } = free[index]!.load
    if (isMean && rows[0]!.runs === null) return false
    return runs.length > 1 && runs.length !== runsOf(rows)
  })
  if (unlike < 0) return undefined
  const { number, load } = free[unlike]!
  const { rows, workload } = pool[unlike]!
  return `by order load ${number} would be "${workload}", and it has ${load.runs.length} runs, not ${runsOf(rows)}`
}

function runsOf(rows: readonly ReviewRow[]): number {
  return rows.reduce((sum, { runs }) => sum + (runs ?? 1), 0)
}

/** Whether no workload in any mode has more than one row. */
function isRowAWorkload(groups: readonly RowGroup[]): boolean {
  return groups.every(({ rows }) => rows.length <= 1)
}

/** In the order of the table. */
function inOrder(tests: readonly PlacedTest[], groups: readonly RowGroup[]): readonly PlacedTest[] {
  const placeOf = ({ workload, mode }: PlacedTest) =>
    groups.findIndex((group) => isSameName(group.workload, workload) && group.mode === mode)
  return [...tests].sort((a, b) => placeOf(a) - placeOf(b))
}

function scoreOf({ values }: ReviewRow): string {
  return Object.values(values)[0] ?? ''
}
