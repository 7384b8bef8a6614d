import { InputError } from '../errors.js'
import type { WrittenTimes } from './parseTimes.js'
import { spreadStamps } from './spreadStamps.js'
import type { Mending } from './trace.js'

/** Samples in the order of time: for each, the index of its row and its time, strictly rising. */
export interface OrderedSamples {
  readonly rows: readonly number[]
  readonly timesS: readonly number[]
  /** Rows that share their time with the sample at a place in `rows`, to be merged into it. */
  readonly merged: ReadonlyMap<number, readonly number[]>
  readonly mendings: readonly Mending[]
}

/** What is known of each row besides its time. */
export interface Rows {
  /** Line in the file. */
  readonly lines: readonly number[]
  /** Whether two rows hold the same values. */
  readonly same: (a: number, b: number) => boolean
}

/**
 * Puts samples in the order of time and mends what clocks do: midnight, summer time and other jumps, rows written out
 * of order, rows written twice, single wild stamps, stamps coarser than the sampling.
 *
 * A step back is told from rows out of order by density: rows that fill a hole left by others were late; rows that lie
 * upon others mean that the clock was set back, and everything after is moved on by the jump.
 *
 * @param written - times as parsed, NaN nowhere
 * @throws InputError `time-not-rising`
 */
export function mendTimes(written: WrittenTimes, rows: Rows): OrderedSamples {
  const mendings = new Mendings(rows.lines)
  const seconds =
    written.scale === 'time-of-day' ? followMidnight(written.seconds) : Float64Array.from(written.seconds)
  const intervalS = medianStep(seconds)
  const wild = findWildStamps(seconds, intervalS)
  for (const row of wild) mendings.add('wild-time', row, 'stamp far from its neighbours; sample set aside')
  const kept: number[] = []
  for (let row = 0; row < seconds.length; row++) if (!wild.has(row)) kept.push(row)
  mendJumps(seconds, kept, { intervalS, wallClock: written.scale === 'wall-clock', mendings, rows })
  const late = kept.filter((row, i) => i > 0 && seconds[row]! < seconds[kept[i - 1]!]!)
  for (const row of late) mendings.add('out-of-order', row, 'row put back in the order of time')
  if (late.length > 0) kept.sort((a, b) => seconds[a]! - seconds[b]! || a - b)
  return settleRepeats(seconds, kept, { rows, mendings })
}

const DAY_S = 86_400
const MOST_JUMPS = 100
const FEW_ROWS = 3

/** Counts by kind, with the first line of each. */
class Mendings {
  private readonly found = new Map<string, { count: number; row: number; detail: string }>()

  constructor(private readonly lines: readonly number[]) {}

  add(kind: string, row: number, detail: string): void {
    const known = this.found.get(kind)
    if (known === undefined) this.found.set(kind, { count: 1, row, detail })
    else known.count++
  }

  list(): Mending[] {
    return [...this.found].map(([kind, { count, row, detail }]) => ({
      kind,
      count,
      firstLine: this.lines[row] ?? null,
      detail,
    }))
  }
}

/** Adds a day whenever the time of day falls by more than half of one, and takes it back likewise. */
function followMidnight(ofDayS: Float64Array): Float64Array {
  const seconds = Float64Array.from(ofDayS)
  let days = 0
  for (let i = 1; i < seconds.length; i++) {
    const step = ofDayS[i]! - ofDayS[i - 1]!
    if (step < -DAY_S / 2) days++
    if (step > DAY_S / 2) days--
    seconds[i] = ofDayS[i]! + days * DAY_S
  }
  return seconds
}

function medianStep(seconds: Float64Array): number {
  const steps: number[] = []
  for (let i = 1; i < seconds.length; i++) {
    const step = seconds[i]! - seconds[i - 1]!
    if (step > 0) steps.push(step)
  }
  steps.sort((a, b) => a - b)
  return steps[Math.floor(steps.length / 2)] ?? 1
}

/** Single stamps far outside their neighbours, which themselves agree, that fill no hole elsewhere in the log. */
function findWildStamps(seconds: Float64Array, intervalS: number): Set<number> {
  const wild = new Set<number>()
  let sorted: Float64Array | undefined
  for (let i = 1; i + 1 < seconds.length; i++) {
    const [before, here, after] = [seconds[i - 1]!, seconds[i]!, seconds[i + 1]!]
    const agree = after >= before && after - before <= 3 * intervalS
    if (!agree || (here >= before - 10 * intervalS && here <= after + 10 * intervalS)) continue
    sorted ??= Float64Array.from(seconds).sort()
    if (!fillsHole(sorted, here, intervalS)) wild.add(i)
  }
  return wild
}

function fillsHole(sorted: Float64Array, time: number, intervalS: number): boolean {
  let [low, high] = [0, sorted.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < time) low = middle + 1
    else high = middle
  }
  const [below, above] = [sorted[low - 1], sorted[low + 1]]
  if (below === undefined || above === undefined) return false
  const room = 0.6 * intervalS
  return (
    time - below > room && above - time > room && time - below < 3 * intervalS && above - time < 3 * intervalS
  )
}

interface JumpContext {
  readonly intervalS: number
  readonly wallClock: boolean
  readonly mendings: Mendings
  readonly rows: Rows
}

/** Moves everything after a jump of the clock, in place. */
function mendJumps(seconds: Float64Array, kept: readonly number[], context: JumpContext): void {
  const { intervalS, mendings } = context
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
    const jump = k === 0 || k < trusted ? 0 : jumpAt(seconds, kept, { k, shift, latest, time, ...context })
    if (jump === LATE) trusted = firstAfter(seconds, kept, { from: k, shift, latest })
    else if (jump !== 0) {
      if (++jumps > MOST_JUMPS) throw notRising()
      const by = time - latest - intervalS
      mendings.add(
        'clock-jump',
        row,
        `clock jumped by ${Math.round(by * 1000) / 1000} s; the samples after it were moved`,
      )
      shift -= by
      time -= by
      openS = -by > 0.5 * intervalS && -by < 2 * intervalS ? -by : 0
    }
    seconds[row] = time
    latest = Math.max(latest, time)
  }
}

const LATE = 'late'

interface JumpQuery extends JumpContext {
  readonly k: number
  readonly shift: number
  readonly latest: number
  readonly time: number
}

/** 0: no jump. `late`: rows out of order. Otherwise the clock was set. */
function jumpAt(seconds: Float64Array, kept: readonly number[], query: JumpQuery): 0 | typeof LATE | 1 {
  const step = query.time - query.latest
  if (step > DAY_S) return 1
  if (query.wallClock && step > 0 && isSummerTime(query.latest - query.shift, step, query.intervalS)) return 1
  if (step >= 0) return 0
  const end = firstAfter(seconds, kept, { from: query.k, shift: query.shift, latest: query.latest })
  let lowest = query.time
  for (let k = query.k; k < end; k++) lowest = Math.min(lowest, seconds[kept[k]!]! + query.shift)
  const slots = (query.latest - lowest) / query.intervalS + 1
  let upon = 0
  let repeats = 0
  const values = new Map<number, number>()
  for (let k = query.k - 1; k >= 0 && seconds[kept[k]!]! >= lowest - 5 * query.intervalS; k--) {
    if (seconds[kept[k]!]! < lowest) continue
    upon++
    values.set(seconds[kept[k]!]!, kept[k]!)
  }
  for (let k = query.k; k < end; k++) {
    const twin = values.get(seconds[kept[k]!]! + query.shift)
    if (twin !== undefined && query.rows.same(twin, kept[k]!)) repeats++
  }
  const segment = end - query.k
  // Rows that were late belong after the log's first; a longer stretch from before it means that the clock was set.
  if (segment > FEW_ROWS && lowest < seconds[kept[0]!]! - FEW_ROWS * query.intervalS) return 1
  return repeats === segment || segment + upon <= 1.5 * slots ? LATE : 1
}

function firstAfter(
  seconds: Float64Array,
  kept: readonly number[],
  { from, shift, latest }: { readonly from: number; readonly shift: number; readonly latest: number },
): number {
  let k = from
  while (k < kept.length && seconds[kept[k]!]! + shift <= latest) k++
  return k
}

/** A clock on local time that skips exactly an hour at the full hour was set to summer time. */
function isSummerTime(beforeS: number, step: number, intervalS: number): boolean {
  const skipped = step - 3600
  const slack = 1.5 * intervalS + 1
  const toFullHour = 3600 - (((beforeS % 3600) + 3600) % 3600)
  return skipped > 0 && skipped <= slack && toFullHour <= slack
}

function notRising(): InputError {
  return new InputError('time-not-rising', `the time column jumps back more than ${MOST_JUMPS} times`, {
    remedy: 'pick the column with the time with --time "NAME", or give --every when no column holds it',
  })
}

/** Equal stamps: spread when the clock is coarser than the sampling, else dropped (same values) or merged. */
function settleRepeats(
  seconds: Float64Array,
  kept: readonly number[],
  { rows, mendings }: { readonly rows: Rows; readonly mendings: Mendings },
): OrderedSamples {
  const times = kept.map((row) => seconds[row]!)
  const coarseS = coarseResolution(times, kept, rows)
  if (coarseS !== undefined) {
    const repeated = kept.filter((_, i) => i > 0 && times[i] === times[i - 1])
    for (const row of repeated)
      mendings.add('coarse-time', row, `stamps of ${coarseS} s are coarser than the sampling; spread evenly`)
    return {
      rows: kept,
      timesS: fromZero(spreadStamps(times, coarseS)),
      merged: new Map(),
      mendings: mendings.list(),
    }
  }
  const merged = new Map<number, number[]>()
  const unique: number[] = []
  for (const row of kept) {
    const last = unique.at(-1)
    if (last === undefined || seconds[last] !== seconds[row]) unique.push(row)
    else if (rows.same(last, row)) mendings.add('duplicate', row, 'row written twice; dropped')
    else {
      mendings.add('duplicate-time', row, 'several samples of one time; merged into one')
      const place = unique.length - 1
      merged.set(place, [...(merged.get(place) ?? []), row])
    }
  }
  if (unique.length < 2) {
    throw new InputError('time-not-rising', 'the time column holds one and the same time throughout', {
      remedy: 'pick another with --time "NAME", or give the sampling interval with --every 1s',
    })
  }
  return {
    rows: unique,
    timesS: fromZero(unique.map((row) => seconds[row]!)),
    merged,
    mendings: mendings.list(),
  }
}

function fromZero(times: readonly number[]): number[] {
  const first = times[0] ?? 0
  return times.map((time) => time - first)
}

/**
 * Resolution of the stamps when samples come faster than it: equal stamps again and again among whole steps, and not
 * simply rows written twice.
 */
function coarseResolution(times: readonly number[], kept: readonly number[], rows: Rows): number | undefined {
  const steps = times.slice(1).map((time, i) => time - times[i]!)
  const equal = steps.filter((step) => step === 0).length
  if (equal === 0) return undefined
  const risingSteps = steps.filter((step) => step > 0).sort((a, b) => a - b)
  const resolution = risingSteps[Math.floor(risingSteps.length / 20)]
  if (resolution === undefined) return undefined
  const whole = risingSteps.filter(
    (step) => Math.abs(step / resolution - Math.round(step / resolution)) < 1e-6,
  ).length
  if (whole < 0.98 * risingSteps.length) return undefined
  const twins = kept.filter(
    (row, i) => i > 0 && times[i] === times[i - 1] && rows.same(row, kept[i - 1]!),
  ).length
  const many = equal >= 0.15 * steps.length && twins < 0.9 * equal
  const some = equal >= 3 && equal >= 0.02 * steps.length && twins < 0.5 * equal
  return many || some ? resolution : undefined
}
