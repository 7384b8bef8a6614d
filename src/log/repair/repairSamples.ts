import { InputError } from '../../errors.js'
import type { ChosenColumns } from '../columns/chooseColumns.js'
import { unionOf } from '../rows/sampleStore.js'
import type { TableRows } from '../rows/tableReader.js'
import type { Repair, Trace } from '../trace.js'
import { buildTrace } from './buildTrace.js'
import { findStart } from './findStart.js'
import { measurePower } from './measurePower.js'
import type { OrderedSamples, SampleValues } from './orderedSamples.js'
import { placesOf } from './orderedSamples.js'
import { pickAt } from './pickAt.js'
import { RepairList } from './repairList.js'
import { repairTimes } from './repairTimes.js'
import type { TimedRows } from './settleRepeats.js'

/** A trace, and what was done to the samples on the way. */
export interface RepairedSamples {
  readonly trace: Trace
  readonly repairs: readonly Repair[]
}

/**
 * Rows of a table to a trace: samples without a time or a power are set aside, times mended, a counter
 * differenced, impossible values set aside. Every change is counted with its first line.
 *
 * @throws InputError `too-few-samples`, `time-not-rising`
 */
export function repairSamples(table: TableRows, chosen: ChosenColumns): RepairedSamples {
  const repairs = new RepairList()
  reportLength(table, repairs)
  const { written, ...values } = table
  const inFileOrder = usableRows(table, repairs)
  const newestFirst = isNewestFirst(written.seconds, inFileOrder)
  const usable = newestFirst ? inFileOrder.slice().reverse() : inFileOrder
  if (newestFirst) {
    repairs.add(
      'newest-first',
      table.lines[usable[0]!],
      'rows run from the newest to the oldest; turned round',
    )
  }
  const lines = pickAt(table.lines, usable)
  const same = (a: number, b: number) => sameValues(values, usable[a]!, usable[b]!)
  const ordered = repairTimes(
    { ...written, seconds: pickAt(written.seconds, usable) },
    { lines, same },
    repairs,
  )
  const merged = samplesOf(ordered, { usable, values, lines: table.lines, series: chosen.series })
  const samples = withoutPowerless(merged, repairs)
  const power = measurePower(samples, chosen.power, repairs)
  const startOf = findStart(samples, table, chosen)
  return {
    trace: buildTrace(samples, { power, series: chosen.series, startOf }, repairs),
    repairs: repairs.list(),
  }
}

/** What reading in bounded memory has left out. */
function reportLength({ rowsInOne, unlisted, lines }: TableRows, repairs: RepairList): void {
  if (rowsInOne > 1) {
    const detail = `log too long to be held; up to ${rowsInOne} neighbouring samples were averaged into one, energy kept`
    repairs.add('averaged', lines[0], detail, rowsInOne)
  }
  if (unlisted > 0) repairs.add('unlisted', undefined, 'more lines passed over than are listed', unlisted)
}

function usableRows({ lines, written, power }: TableRows, repairs: RepairList): Int32Array {
  const usable = placesOf(written.seconds)
  const powered = countKnown(power, usable)
  const timeless = linesBut(usable, lines)
  repairs.addLines('no-time', timeless, 'time could not be read; sample set aside')
  if (powered < 2) {
    const line = lines[0]
    const where = line === undefined ? {} : { where: { line } }
    throw new InputError(
      'too-few-samples',
      `expected at least 2 samples with a time and a power, got ${powered} (of ${power.length} rows)`,
      { ...where, remedy: 'log for longer, or pick other columns with --power and --time' },
    )
  }
  return usable
}

function countKnown(values: Float64Array, places: Int32Array): number {
  let known = 0
  for (let i = 0; i < places.length; i++) if (!Number.isNaN(values[places[i]!])) known++
  return known
}

/** Lines of the samples that are not at these places. */
function linesBut(places: Int32Array, lines: Int32Array): readonly number[] {
  const left: number[] = []
  if (places.length === lines.length) return left
  let k = 0
  for (let i = 0; i < lines.length; i++) {
    if (places[k] === i) k++
    else left.push(lines[i]!)
  }
  return left
}

/** Most steps go back, and so not by a clock that was set or a row out of order. */
function isNewestFirst(seconds: Float64Array, rows: Int32Array): boolean {
  let [up, down] = [0, 0]
  for (let i = 1; i < rows.length; i++) {
    const step = seconds[rows[i]!]! - seconds[rows[i - 1]!]!
    if (step > 0) up++
    if (step < 0) down++
  }
  return down > 2 && down > 2 * up
}

/** Times are mended with all rows; then those without a power go. */
function withoutPowerless(samples: OrderedSamples, repairs: RepairList): OrderedSamples {
  const { power, lines } = samples
  const places = placesOf(power)
  if (places.length === power.length) return samples
  repairs.addLines('no-power', linesBut(places, lines), 'no power value; sample set aside')
  return {
    timesS: pickAt(samples.timesS, places),
    rows: pickAt(samples.rows, places),
    lines: pickAt(lines, places),
    power: pickAt(power, places),
    series: samples.series.map((column) => pickAt(column, places)),
  }
}

function sameValues(values: SampleValues, a: number, b: number): boolean {
  return [values.power, ...values.series].every((column) => Object.is(column[a], column[b]))
}

interface MergedRows {
  readonly usable: Int32Array
  readonly values: SampleValues
  readonly lines: Int32Array
  readonly series: ChosenColumns['series']
}

/** Samples in order; those of one time are merged into their mean, and their flags into all of them. */
function samplesOf(ordered: TimedRows, { usable, values, lines, series }: MergedRows): OrderedSamples {
  const rows = pickAt(usable, ordered.rows)
  const merge = (column: Float64Array, joined: (values: readonly number[]) => number) => {
    if (ordered.merged.size === 0) return pickAt(column, rows)
    const values = pickAt(column, rows).slice()
    for (const [place, others] of ordered.merged) {
      values[place] = joined([values[place]!, ...others.map((other) => column[usable[other]!]!)])
    }
    return values
  }
  return {
    timesS: ordered.timesS,
    rows,
    lines: pickAt(lines, rows),
    power: merge(values.power, meanOf),
    series: values.series.map((column, k) =>
      merge(column, series[k]?.quantity === 'reasons' ? unionOf : meanOf),
    ),
  }
}

function meanOf(values: readonly number[]): number {
  const known = values.filter((value) => !Number.isNaN(value))
  return known.reduce((sum, value) => sum + value, 0) / known.length
}
