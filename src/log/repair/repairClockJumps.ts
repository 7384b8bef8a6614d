import { InputError } from '../../errors.js'
import type { RepairList } from './repairList.js'

interface JumpContext {
  /** Mean time between samples. */
  readonly intervalS: number
  /** What all stamps are whole multiples of; 0 when they have fractions. */
  readonly grainS: number
  readonly wallClock: boolean
  readonly repairs: RepairList
  readonly rows: SampleRows
}

/** Moves everything after a jump of the clock, in place. */
export function repairClockJumps(seconds: Float64Array, kept: Int32Array, context: JumpContext): void {
  const { intervalS, grainS, repairs } = context
  let [shift, latest, jumps] = [0, Number.NEGATIVE_INFINITY, 0]
  let trusted = 0
  // A small jump back that may yet be taken back, by a step that is too long by just as much.
  let openS = 0
  for (let k = 0; k < kept.length; k++) {
    const row = kept[k]!
    let time = seconds[row]! + shift
    if (openS > 0 && Math.abs(time - latest - intervalS - openS) < 0.3 * intervalS) {
      shift -= openS
      time -= openS
      openS = 0
    }
    const inOrder = k === 0 || k < trusted || isOrdinary(time - latest, context.wallClock)
    const jump = inOrder ? 0 : jumpAt(seconds, kept, { k, shift, latest, time, ...context })
    if (jump === LATE) trusted = firstAfter(seconds, kept, { from: k, shift, latest })
    else if (jump !== 0) {
      if (++jumps > MOST_JUMPS) throw notRising()
      const exact = time - latest - intervalS
      const by = grainS > 0 ? Math.round(exact / grainS) * grainS : exact
      repairs.add(
        'clock-jump',
        context.rows.lines[row],
        `clock jumped by ${Math.round(by * 1000) / 1000} s${sayHour(by)}; the samples after it were moved`,
      )
      shift -= by
      time -= by
      openS = -by > 0.5 * intervalS && -by < 2 * intervalS ? -by : 0
    }
    seconds[row] = time
    latest = Math.max(latest, time)
  }
}

const DAY_S = 86_400
const HOUR_S = 3600
const MOST_JUMPS = 100
const FEW_ROWS = 3
// Rows among which a row out of order is looked for; more would make a log of many such rows slow.
const MOST_LOOKED_BACK = 20_000
const LATE = 'late'

/** A step that needs no second look, as nearly all do. */
function isOrdinary(step: number, wallClock: boolean): boolean {
  return step >= 0 && step <= (wallClock ? HOUR_S : DAY_S)
}

interface JumpQuery extends JumpContext {
  readonly k: number
  readonly shift: number
  readonly latest: number
  readonly time: number
}

/** 0: no jump. `late`: rows out of order. Otherwise the clock was set. */
function jumpAt(seconds: Float64Array, kept: Int32Array, query: JumpQuery): 0 | typeof LATE | 1 {
  const step = query.time - query.latest
  if (step > DAY_S) return 1
  if (query.wallClock && step > 0 && isSummerTime(query.latest - query.shift, step, query.intervalS)) return 1
  if (step >= 0) return 0
  const end = firstAfter(seconds, kept, { from: query.k, shift: query.shift, latest: query.latest })
  let lowest = query.time
  for (let k = query.k; k < end; k++) lowest = Math.min(lowest, seconds[kept[k]!]! + query.shift)
  const segment = end - query.k
  // Whole stamps that are as coarse as the sampling: neighbours that changed places are no further apart than one.
  if (segment === 1 && step >= -query.grainS) return LATE
  const coarse = query.intervalS < 0.75 * query.grainS ? query.grainS : 0
  const slots = (query.latest - lowest + coarse) / query.intervalS + 1
  let upon = 0
  let repeats = 0
  const values = new Map<number, number>()
  const farthest = Math.max(0, query.k - MOST_LOOKED_BACK)
  for (let k = query.k - 1; k >= farthest && seconds[kept[k]!]! >= lowest - 5 * query.intervalS; k--) {
    if (seconds[kept[k]!]! < lowest) continue
    upon++
    values.set(seconds[kept[k]!]!, kept[k]!)
  }
  for (let k = query.k; k < end; k++) {
    const twin = values.get(seconds[kept[k]!]! + query.shift)
    if (twin !== undefined && query.rows.same(twin, kept[k]!)) repeats++
  }
  // Rows that were late belong after the log's first; a longer stretch from before it means that the clock was set.
  if (segment > FEW_ROWS && lowest < seconds[kept[0]!]! - FEW_ROWS * query.intervalS) return 1
  const twins = repeats <= 2 ? repeats : 0
  return repeats === segment || segment - twins + upon <= 1.5 * slots ? LATE : 1
}

function firstAfter(
  seconds: Float64Array,
  kept: Int32Array,
  { from, shift, latest }: { readonly from: number; readonly shift: number; readonly latest: number },
): number {
  let k = from
  while (k < kept.length && seconds[kept[k]!]! + shift <= latest) k++
  return k
}

/** A clock on local time that skips exactly an hour at the full hour was set to summer time. */
function isSummerTime(beforeS: number, step: number, intervalS: number): boolean {
  const skipped = step - HOUR_S
  const slack = 1.5 * intervalS + 1
  const toFullHour = HOUR_S - (((beforeS % HOUR_S) + HOUR_S) % HOUR_S)
  return skipped > 0 && skipped <= slack && toFullHour <= slack
}

/** The usual reason of a jump by an hour. */
function sayHour(byS: number): string {
  return Math.abs(Math.abs(byS) - 3600) < 2 ? ', as where daylight saving begins or ends' : ''
}

function notRising(): InputError {
  return new InputError('time-not-rising', `the time column jumps back more than ${MOST_JUMPS} times`, {
    remedy: 'pick the column with the time with --time "NAME", or give --every when no column holds it',
  })
}

/** What is known of each row besides its time. */
export interface SampleRows {
  /** Line in the file. */
  readonly lines: Int32Array
  /** Whether two rows hold the same values. */
  readonly same: (a: number, b: number) => boolean
}
