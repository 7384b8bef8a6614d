import type { Load } from '../../../src/segment/load.js'
import type { Session } from './makeSession.js'
import type { LoadTruth } from './tellTruth.js'

/** What was found of one true load; null where nobody could know, or nothing was asked. */
export interface LoadJudgement {
  readonly truth: LoadTruth
  readonly load: Load
  readonly runsRight: boolean
  readonly settledRight: boolean | null
  readonly covered: boolean | null
  readonly reachedRight: boolean | null
  readonly heldByRight: boolean
  /** A cause that is wrong, or an interval that misses the truth by three of its half-widths. */
  readonly sureAndWrong: boolean
  /** A level that the load's own samples don't allow. */
  readonly impossible: boolean
}

export interface SessionJudgement {
  readonly found: readonly LoadJudgement[]
  readonly missed: readonly LoadTruth[]
  readonly false: readonly Load[]
}

/** Share of the union that two stretches of time have in common, above which one stands for the other. */
const MATCH = 0.8

/** Compares the loads that were found in a session with the true ones, each with the one that it overlaps most. */
export function judgeSession(session: Session, loads: readonly Load[]): SessionJudgement {
  const pairs = session.loads
    .flatMap((truth) => loads.map((load) => ({ truth, load, match: overlap(truth, load) })))
    .filter(({ match }) => match >= MATCH)
    .sort((a, b) => b.match - a.match)
  const found: LoadJudgement[] = []
  for (const { truth, load } of pairs) {
    if (found.some((other) => other.truth === truth || other.load === load)) continue
    found.push(judgeLoad(truth, load))
  }
  return {
    found,
    missed: session.loads.filter((truth) => !found.some((one) => one.truth === truth)),
    false: loads.filter((load) => !found.some((one) => one.load === load)),
  }
}

interface Span {
  readonly startS: number
  readonly endS: number
}

function overlap(a: Span, b: Span): number {
  const common = Math.max(0, Math.min(a.endS, b.endS) - Math.max(a.startS, b.startS))
  return common / Math.max(1e-9, a.endS - a.startS + b.endS - b.startS - common)
}

function judgeLoad(truth: LoadTruth, load: Load): LoadJudgement {
  const { levelW, reached } = load.sustained
  const label = load.stages.at(-1)!.heldBy.label
  const heldByRight = truth.heldBy.includes(label)
  const settled = truth.settledW !== null && truth.reached === true ? truth.settledW : null
  const [low, high] = settled ?? [0, 0]
  const missW = settled ? Math.max(0, low - levelW.value, levelW.value - high) : 0
  const halfW = levelW.value < low ? levelW.high - levelW.value : levelW.value - levelW.low
  const [least, most] = truth.rangeW
  const outside = (watts: number) => watts > 1.05 * most || watts < 0.95 * least
  return {
    truth,
    load,
    runsRight: load.runs.length === truth.runs,
    settledRight: settled && missW <= 0.015 * low,
    covered: settled && levelW.low <= high && levelW.high >= low,
    reachedRight: truth.reached === null ? null : truth.reached === reached,
    heldByRight,
    sureAndWrong: (!heldByRight && label !== 'undetermined') || (missW > 3 * halfW && missW > 0.005 * low),
    impossible:
      load.stages.some((stage) => outside(stage.levelW.value)) ||
      (reached ? outside(levelW.value) : levelW.value > 1.05 * most || levelW.value < 0.5 * least),
  }
}
