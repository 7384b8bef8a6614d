import type { RunTime, Trace } from '../../log/trace.js'
import type { Load } from '../../segment/load.js'
import { meanOf } from '../meanOf.js'
import type { ScoreRow } from './parseScoreTable.js'

/** A load that a sheet is drafted from. */
export interface DraftLoad {
  readonly log: string
  /** Counted from 1 in its log. */
  readonly number: number
  readonly load: Load
  readonly trace: Pick<Trace, 'startOfDayS' | 'startEpochS'>
}

/** A score and when its run began and ended, seconds from the log's first sample; null where the sheet's reader is to find the run, in order. */
export interface DraftScore {
  /** Line of the table, counted from 1. */
  readonly line: number
  readonly score: string
  readonly startS: number | null
  readonly endS: number | null
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  /** Whether that number is the number of runs found, as the table doesn't say it; left out: it does. */
  readonly isSupposed?: true
}

/** Scores in their loads, and those that belong to none, each with the reason. */
export interface PlacedScores {
  readonly byLoad: ReadonlyMap<DraftLoad, readonly DraftScore[]>
  readonly unplaced: readonly { readonly line: number; readonly score: string; readonly reason: string }[]
}

/**
 * Finds the run of each score: by the time in its row; else by the order of rows, where the loads hold exactly as many runs as there are
 * scores, or where one load shows no pauses to tell its runs by (they are then found by whoever reads the sheet). Nothing is guessed: what
 * fits no run, or more than one, is returned with the reason.
 *
 * A row that says of how many runs it is the mean takes as many.
 *
 * @param loads - in the order of time
 * @param rows - of this sheet's workload, in the order of the table
 * @param isMean - the only row of a load with several runs, where it doesn't say how many it is of, is taken as the mean of all of them
 */
export function placeScores(
  loads: readonly DraftLoad[],
  rows: readonly ScoreRow[],
  isMean = false,
): PlacedScores {
  const byLoad = new Map<DraftLoad, DraftScore[]>(loads.map((load) => [load, []]))
  const unplaced: { line: number; score: string; reason: string }[] = []
  const leaveOut = (row: ScoreRow, reason: string) =>
    unplaced.push({ line: row.line, score: row.score, reason })
  for (const row of rows.filter(({ start }) => start !== null)) {
    const found = loads.filter((load) => isOf(load, row)).flatMap((load) => runAt(load, row))
    if (found.length === 1) byLoad.get(found[0]!.load)!.push(found[0]!.placed)
    else leaveOut(row, found.length === 0 ? whyNoRun(row, loads) : 'runs of several logs are at its time')
  }
  for (const group of groups(
    loads,
    rows.filter(({ start }) => start === null),
  )) {
    const runs = group.loads.flatMap((load) => load.load.runs.map((run) => ({ load, run })))
    const isAlone = isMean && group.rows.length === 1 && group.loads.length === 1 && runs.length > 1
    const counts = group.rows.map((row) => row.runs ?? (isAlone ? runs.length : 1))
    const total = counts.reduce((sum, count) => sum + count, 0)
    if (total === runs.length) {
      let next = 0
      for (const [index, row] of group.rows.entries()) {
        const own = runs.slice(next, next + counts[index]!)
        next += own.length
        const [first, last] = [own[0]!, own.at(-1)!]
        if (first.load !== last.load) {
          leaveOut(row, 'its runs are of several loads')
          continue
        }
        const supposed = isAlone && row.runs === null ? { isSupposed: true as const } : {}
        const times = { startS: first.run.startS, endS: last.run.endS }
        byLoad.get(first.load)!.push({ ...scoreOf(row), ...times, ...meanOf(own.length), ...supposed })
      }
    } else if (group.loads.length === 1 && runs.length <= 1) {
      byLoad.get(group.loads[0]!)!.push(
        ...group.rows.map((row) => ({
          ...scoreOf(row),
          startS: null,
          endS: null,
          ...meanOf(row.runs ?? 1),
        })),
      )
    } else {
      const counted = (count: number, noun: string) => `${count} ${noun}${count === 1 ? '' : 's'}`
      const scores = counted(group.rows.length, 'score')
      const what = total === group.rows.length ? scores : `${scores} of ${total} runs`
      const reason = `${what} without times, and ${counted(runs.length, 'run')} in the log`
      for (const row of group.rows) leaveOut(row, reason)
    }
  }
  for (const [load, placed] of byLoad) {
    placed.sort((a, b) => (a.startS ?? 0) - (b.startS ?? 0))
    divideRuns(load, placed)
  }
  return { byLoad, unplaced: unplaced.sort((a, b) => a.line - b.line) }
}

function scoreOf({ line, score }: ScoreRow): Pick<DraftScore, 'line' | 'score'> {
  return { line, score }
}

/** Several scores in one run of the log: an uninterrupted loop, whose passes end where the next one starts. */
function divideRuns({ load }: DraftLoad, placed: DraftScore[]): void {
  placed.forEach((score, index) => {
    const next = placed[index + 1]
    const run = load.runs.find(
      ({ startS, endS }) =>
        score.startS !== null && score.startS < endS && score.endS === endS && startS <= score.startS,
    )
    if (run === undefined || next?.startS == null || next.startS >= run.endS) return
    placed[index] = { ...score, endS: next.startS }
  })
}

interface Group {
  readonly loads: readonly DraftLoad[]
  readonly rows: readonly ScoreRow[]
}

/** Rows that name the same log and load, with the loads that they may belong to. */
function groups(loads: readonly DraftLoad[], rows: readonly ScoreRow[]): Group[] {
  const byPlace = new Map<string, ScoreRow[]>()
  for (const row of rows) {
    const key = JSON.stringify([row.log, row.load])
    byPlace.set(key, [...(byPlace.get(key) ?? []), row])
  }
  return [...byPlace.values()].map((group) => ({
    rows: group,
    loads: loads.filter((load) => isOf(load, group[0]!)),
  }))
}

function isOf(load: DraftLoad, row: ScoreRow): boolean {
  return (row.log === null || isOfLog(load, row.log)) && (row.load === null || row.load === load.number)
}

/** Whether a load is of the log that a table names: by its path, the end of it, or its file name. */
export function isOfLog({ log }: DraftLoad, name: string): boolean {
  const plain = (path: string) => path.replaceAll('\\', '/')
  return plain(log) === plain(name) || plain(log).endsWith(`/${plain(name)}`)
}

/** A time outside all loads hints at a clock that was set otherwise: by an hour, or to another time zone. */
function whyNoRun(row: ScoreRow, loads: readonly DraftLoad[]): string {
  const [first] = loads
  if (first === undefined || loads.some(({ log }) => log !== first.log)) return NO_RUN
  const startS = secondsOf(row.start!, first)
  const endS = Math.max(...loads.map(({ load }) => load.endS))
  if (startS === undefined || (startS >= first.load.startS && startS < endS)) return NO_RUN
  const beganS = row.start!.ofDayS === null ? null : first.trace.startOfDayS
  const [from, to] = [first.load.startS, endS].map((atS) =>
    beganS === null ? `${Math.round(atS)} s` : clockOf((beganS + atS) % DAY_S),
  )
  return `${NO_RUN}: its ${loads.length === 1 ? 'load is' : 'loads are'} from ${from} to ${to}`
}

const NO_RUN = 'no run of the log is at its time'

function clockOf(ofDayS: number): string {
  return new Date(Math.round(ofDayS) * 1000).toISOString().slice(11, 19)
}

function runAt(load: DraftLoad, row: ScoreRow): { load: DraftLoad; placed: DraftScore }[] {
  const startS = secondsOf(row.start!, load)
  const endS = row.end === null ? null : secondsOf(row.end, load)
  // A time that the log's clock doesn't know is no time left out.
  if (startS === undefined || endS === undefined) return []
  const mean = { ...scoreOf(row), ...meanOf(row.runs ?? 1) }
  const slackS = Math.max(2, 0.02 * (load.load.endS - load.load.startS))
  if (endS !== null) {
    const isInside = startS >= load.load.startS - slackS && endS <= load.load.endS + slackS && endS > startS
    return isInside ? [{ load, placed: { ...mean, startS, endS } }] : []
  }
  const at = load.load.runs.findIndex((each) => startS >= each.startS - slackS && startS < each.endS)
  // Without pauses to count them by, all runs of a mean lie in one.
  const last = load.load.runs.length === 1 ? load.load.runs[at] : load.load.runs[at + (row.runs ?? 1) - 1]
  if (at < 0 || last === undefined) return []
  return [
    { load, placed: { ...mean, startS: Math.max(startS, load.load.runs[at]!.startS), endS: last.endS } },
  ]
}

const DAY_S = 86_400

/** Seconds from the log's first sample; undefined where the log has no such clock. */
function secondsOf(time: RunTime, { trace }: DraftLoad): number | undefined {
  if (time.epochS !== null) return trace.startEpochS === null ? undefined : time.epochS - trace.startEpochS
  if (time.ofDayS !== null && trace.startOfDayS !== null) {
    return (((time.ofDayS - trace.startOfDayS) % DAY_S) + DAY_S) % DAY_S
  }
  return time.elapsedS ?? undefined
}
