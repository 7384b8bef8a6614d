import { InputError } from '../errors.js'
import { buildTrace } from './buildTrace.js'
import type { ChosenColumns, MeasuredColumn } from './chooseColumns.js'
import type { TableRows } from './collectRows.js'
import { findStart } from './findStart.js'
import { measurePower } from './measurePower.js'
import { MendingList } from './mendingList.js'
import { mendTimes } from './mendTimes.js'
import type { OrderedSamples, SampleValues } from './orderedSamples.js'
import { parseCells } from './parseCells.js'
import { parseTimes, type WrittenTimes } from './parseTimes.js'
import { pickAt } from './pickAt.js'
import type { TimedRows } from './settleRepeats.js'
import type { LogOptions, Mending, Trace } from './trace.js'

/** A trace, and what was done to the samples on the way. */
export interface MendedSamples {
  readonly trace: Trace
  readonly mendings: readonly Mending[]
}

/**
 * Rows of cells to a trace: numbers and times are parsed, samples without either set aside, times mended, a counter
 * differenced, impossible values set aside. Every change is counted with its first line.
 *
 * @throws InputError `too-few-samples`, `time-not-rising`
 */
export function mendSamples(table: TableRows, chosen: ChosenColumns, options: LogOptions): MendedSamples {
  const mendings = new MendingList()
  const written = writtenTimes(table, chosen, options.everyS)
  const power = parseCells(table.power, valuesOf(chosen.power, chosen))
  const usable = usableRows(table, written, power, mendings)
  const values: SampleValues = {
    power,
    temperature: optional(table.temperature, chosen.temperature, chosen, hottest),
    clock: optional(table.clock, chosen.clock, chosen, meanOf),
  }
  if (isNewestFirst(written.seconds, usable)) {
    usable.reverse()
    mendings.add(
      'newest-first',
      table.lines[usable[0]!],
      'rows run from the newest to the oldest; turned round',
    )
  }
  const lines = usable.map((row) => table.lines[row]!)
  const same = (a: number, b: number) => sameValues(values, usable[a]!, usable[b]!)
  const ordered = mendTimes(
    { ...written, seconds: pickAt(written.seconds, usable) },
    { lines, same },
    mendings,
  )
  const samples = withoutPowerless(samplesOf(ordered, usable, values, table.lines), mendings)
  const measured = measurePower(samples, chosen.power, mendings)
  const start = findStart(samples, written, table, chosen)
  return { trace: buildTrace(samples, measured, start, mendings), mendings: mendings.list() }
}

function valuesOf({ unit }: MeasuredColumn, { fallback }: ChosenColumns) {
  return { dimension: unit.dimension, unit, fallback }
}

/** Numbers of a column, or of a family of columns put together; null without one. */
function optional(
  cells: readonly (readonly string[])[],
  column: MeasuredColumn | undefined,
  chosen: ChosenColumns,
  together: (values: readonly number[]) => number,
): Float64Array | null {
  if (column === undefined) return null
  const [first, ...more] = cells.map((list) => parseCells(list, valuesOf(column, chosen)))
  if (more.length === 0) return first!
  return first!.map((value, i) => together([value, ...more.map((list) => list[i]!)]))
}

function hottest(values: readonly number[]): number {
  const known = values.filter((value) => !Number.isNaN(value))
  return known.length === 0 ? Number.NaN : Math.max(...known)
}

function writtenTimes(table: TableRows, chosen: ChosenColumns, everyS: number | undefined): WrittenTimes {
  if (chosen.time !== undefined) return parseTimes(chosen.time, table.time, chosen.fallback)
  const seconds = Float64Array.from(table.power, (_, row) => row * everyS!)
  return { seconds, scale: 'elapsed', ofDayS: null }
}

function usableRows(
  table: TableRows,
  written: WrittenTimes,
  power: Float64Array,
  mendings: MendingList,
): number[] {
  const usable: number[] = []
  const timeless: number[] = []
  let powered = 0
  for (let row = 0; row < power.length; row++) {
    if (Number.isNaN(written.seconds[row])) timeless.push(table.lines[row]!)
    else usable.push(row)
    if (!Number.isNaN(written.seconds[row]) && !Number.isNaN(power[row])) powered++
  }
  mendings.addLines('no-time', timeless, 'time could not be read; sample set aside')
  if (powered < 2) {
    const line = table.lines[0]
    const where = line === undefined ? {} : { where: { line } }
    throw new InputError(
      'too-few-samples',
      `needed at least 2 samples with a time and a power, got ${powered} (of ${power.length} rows)`,
      { ...where, remedy: 'log for longer, or pick other columns with --power and --time' },
    )
  }
  return usable
}

/** Most steps go back, and so not by a clock that was set or a row out of order. */
function isNewestFirst(seconds: Float64Array, rows: readonly number[]): boolean {
  let [up, down] = [0, 0]
  for (let i = 1; i < rows.length; i++) {
    const step = seconds[rows[i]!]! - seconds[rows[i - 1]!]!
    if (step > 0) up++
    if (step < 0) down++
  }
  return down > 2 && down > 2 * up
}

/** Times are mended with all rows; then those without a power go. */
function withoutPowerless(samples: OrderedSamples, mendings: MendingList): OrderedSamples {
  const kept: number[] = []
  const powerless: number[] = []
  samples.power.forEach((value, i) => {
    if (Number.isNaN(value)) powerless.push(samples.lines[i]!)
    else kept.push(i)
  })
  if (powerless.length === 0) return samples
  mendings.addLines('no-power', powerless, 'no power value; sample set aside')
  return {
    timesS: kept.map((i) => samples.timesS[i]!),
    rows: kept.map((i) => samples.rows[i]!),
    lines: kept.map((i) => samples.lines[i]!),
    power: pickAt(samples.power, kept),
    temperature: samples.temperature === null ? null : pickAt(samples.temperature, kept),
    clock: samples.clock === null ? null : pickAt(samples.clock, kept),
  }
}

function sameValues(values: SampleValues, a: number, b: number): boolean {
  return [values.power, values.temperature, values.clock].every(
    (column) => column === null || Object.is(column[a], column[b]),
  )
}

/** Samples in order; those of one time are merged into their mean. */
function samplesOf(
  ordered: TimedRows,
  usable: readonly number[],
  values: SampleValues,
  lines: readonly number[],
): OrderedSamples {
  const rows = ordered.rows.map((index) => usable[index]!)
  const merge = (column: Float64Array | null) => {
    if (column === null) return null
    const values = pickAt(column, rows)
    for (const [place, others] of ordered.merged) {
      values[place] = meanOf([values[place]!, ...others.map((other) => column[usable[other]!]!)])
    }
    return values
  }
  return {
    timesS: ordered.timesS,
    rows,
    lines: rows.map((row) => lines[row]!),
    power: merge(values.power)!,
    temperature: merge(values.temperature),
    clock: merge(values.clock),
  }
}

function meanOf(values: readonly number[]): number {
  const known = values.filter((value) => !Number.isNaN(value))
  return known.reduce((sum, value) => sum + value, 0) / known.length
}
