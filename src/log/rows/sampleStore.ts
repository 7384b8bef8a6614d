import { InputError } from '../../errors.js'
import { quickselect } from '../../numeric/quickselect.js'
import { stepsOf } from '../time/stepsOf.js'

/** One row of the table as read. */
export interface SampleRow {
  line: number
  /** Seconds on the log's own scale, or after midnight for stamps; NaN where unreadable. */
  time: number
  /** Place of the stamp's day in a list; 0 without stamps. */
  day: number
  /** W, or J of a counter. */
  power: number
  /** What else was measured, in the order of the chosen columns. */
  readonly series: Float64Array
}

/** How the values of two rows become one: their mean, or all flags of both. */
export type Joining = 'mean' | 'union'

export interface StoreOptions {
  /** Times are stamps, each of some day. */
  readonly hasDays: boolean
  /** How each series is joined. */
  readonly joinings: readonly Joining[]
  /** Power comes from an energy counter, which loses nothing when a reading is left out. */
  readonly isCounter: boolean
  /** Most rows held at a time; see `SampleStore`. */
  readonly mostRows?: number
}

/** Rows held at a time: a week at 3 samples a second. */
const MOST_ROWS = 2 ** 21

/**
 * Rows of a log of any length in bounded memory.
 *
 * When `mostRows` are held, neighbours are averaged two by two, and from then on twos of what comes; when it is full again, fours; and
 * so on. Powers are weighted with the intervals that they stand for, so that no energy is lost; the mean has the time of
 * its last row. Only rows in regular order are joined (times that don't fall, no gap, one day, a power in both, a counter that
 * doesn't fall): what has to be mended is left for the mending to see.
 */
export class SampleStore {
  length = 0
  /** How many rows a joined one stands for at most; 1 when none were joined. */
  rowsInOne = 1
  line = new Int32Array(FIRST_ROWS)
  time = new Float64Array(FIRST_ROWS)
  day: Int32Array | null
  power = new Float64Array(FIRST_ROWS)
  series: Float64Array[]
  /** Rows that each one stands for; none before the first joining. */
  private weight: Int32Array | null = null
  /** Usual step between two rows of the file, s. */
  private usualS = 0
  private readonly joinings: readonly Joining[]
  private readonly isCounter: boolean
  private readonly mostRows: number

  constructor({ hasDays, joinings, isCounter, mostRows = MOST_ROWS }: StoreOptions) {
    this.day = hasDays ? new Int32Array(FIRST_ROWS) : null
    this.series = joinings.map(() => new Float64Array(FIRST_ROWS))
    this.joinings = joinings
    this.isCounter = isCounter
    this.mostRows = mostRows
  }

  /** @throws InputError `times-disordered` when the log is too long to be held and too irregular to be averaged */
  push(row: SampleRow): void {
    if (this.length === this.mostRows) this.joinPairs()
    if (this.length === this.time.length) this.grow()
    const at = this.length++
    this.line[at] = row.line
    this.time[at] = row.time
    if (this.day !== null) this.day[at] = row.day
    this.power[at] = row.power
    // By place: this runs once a row, and iterators are slow until they are compiled.
    for (let k = 0; k < this.series.length; k++) this.series[k]![at] = row.series[k]!
    if (this.weight === null) return
    this.weight[at] = 1
    this.joinLast()
  }

  private columns(): (Float64Array | Int32Array)[] {
    const { line, time, day, power, series, weight } = this
    return [line, time, day, power, weight, ...series].filter((column) => column !== null)
  }

  private grow(): void {
    const size = Math.min(4 * this.length, this.mostRows)
    this.line = grown(this.line, new Int32Array(size))
    this.time = grown(this.time, new Float64Array(size))
    this.day &&= grown(this.day, new Int32Array(size))
    this.power = grown(this.power, new Float64Array(size))
    this.series = this.series.map((values) => grown(values, new Float64Array(size)))
  }

  /** Makes one of two, wherever that is possible, from the second row on: what the first one stands for is not known. */
  private joinPairs(): void {
    const count = this.length
    this.usualS ||= usualStep(this.time.subarray(0, count))
    this.weight ??= new Int32Array(this.time.length).fill(1)
    this.rowsInOne *= 2
    const columns = this.columns()
    this.length = 1
    for (let i = 1; i < count; i++) {
      for (const column of columns) column[this.length] = column[i]!
      this.length++
      this.joinLast()
    }
    if (this.length > MOST_KEPT * count) throw disordered(this.mostRows)
  }

  /** Joins the last two rows as long as they stand for equally many, and few enough. */
  private joinLast(): void {
    const weight = this.weight!
    for (let i = this.length - 2; i > 0; i--) {
      const rows = weight[i]!
      if (rows !== weight[i + 1] || 2 * rows > this.rowsInOne || !this.isRegular(i)) return
      this.join(i)
      this.length--
    }
  }

  /** Whether row i and the next may become one. */
  private isRegular(i: number): boolean {
    const { time, day, power } = this
    const longestS = LONGEST_STEP * this.usualS * this.weight![i]!
    const firstS = time[i]! - time[i - 1]!
    const secondS = time[i + 1]! - time[i]!
    const ordered = firstS >= 0 && secondS >= 0 && firstS <= longestS && secondS <= longestS
    if (!ordered || (day !== null && (day[i] !== day[i + 1] || day[i] !== day[i - 1]))) return false
    return this.isCounter ? power[i + 1]! >= power[i]! : !Number.isNaN(power[i]! + power[i + 1]!)
  }

  /** Row i becomes the mean of itself and the next; of a counter, the later reading. */
  private join(i: number): void {
    const { time } = this
    const firstS = time[i]! - time[i - 1]!
    const secondS = time[i + 1]! - time[i]!
    // Stamps too coarse to tell the rows apart: each stands for as much as the other.
    const share = firstS > 0 && secondS > 0 ? firstS / (firstS + secondS) : 0.5
    if (this.isCounter) this.power[i] = this.power[i + 1]!
    else joinValues(this.power, i, share)
    this.series.forEach((values, k) => {
      if (this.joinings[k] === 'union') values[i] = unionOf([values[i]!, values[i + 1]!])
      else joinValues(values, i, share)
    })
    time[i] = time[i + 1]!
    this.weight![i]! *= 2
  }
}

const FIRST_ROWS = 1024
// A longer step, in usual ones, is a pause of the logger: what stands before and after it is not averaged.
const LONGEST_STEP = 2.5
// Joining that leaves more rows than this share would soon have to be done again.
const MOST_KEPT = 0.75

function joinValues(values: Float64Array, i: number, share: number): void {
  const [first, second] = [values[i]!, values[i + 1]!]
  if (Number.isNaN(first)) values[i] = second
  else if (!Number.isNaN(second)) values[i] = share * first + (1 - share) * second
}

/** All flags of some samples; NaN where none has any. */
export function unionOf(flags: readonly number[]): number {
  const known = flags.filter((value) => !Number.isNaN(value))
  return known.length === 0 ? Number.NaN : known.reduce((all, value) => all | value, 0)
}

function grown<T extends Float64Array | Int32Array>(old: T, larger: T): T {
  larger.set(old)
  return larger
}

function usualStep(times: Float64Array): number {
  const steps = stepsOf(times)
  let count = 0
  for (const step of steps) if (step > 0) steps[count++] = step
  return count === 0 ? 0 : quickselect(steps.subarray(0, count), Math.floor(count / 2))
}

function disordered(mostRows: number): InputError {
  return new InputError(
    'times-disordered',
    `expected rows in the order of time in a log of more than ${mostRows} rows, got too many that are not`,
    { remedy: 'sort the log by time, or export a part of it' },
  )
}
