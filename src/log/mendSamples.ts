import { InputError } from '../errors.js'
import type { ChosenColumns, MeasuredColumn } from './chooseColumns.js'
import type { TableRows } from './collectRows.js'
import { mendTimes, type OrderedSamples } from './mendTimes.js'
import { parseCells } from './parseCells.js'
import { parseTimes, type WrittenTimes } from './parseTimes.js'
import { powerFromCounter } from './powerFromCounter.js'
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
  const mendings: Mending[] = []
  const written = writtenTimes(table, chosen, options.everyS)
  const power = parseCells(table.power, valuesOf(chosen.power, chosen))
  const usable = usableRows(table, written, power, mendings)
  const values: Values = {
    power,
    temperature: optional(table.temperature, chosen.temperature, chosen),
    clock: optional(table.clock, chosen.clock, chosen),
  }
  const lines = usable.map((row) => table.lines[row]!)
  const same = (a: number, b: number) => sameValues(values, usable[a]!, usable[b]!)
  const ordered = mendTimes({ ...written, seconds: pick(written.seconds, usable) }, { lines, same })
  mendings.push(...ordered.mendings)
  const samples = samplesOf(ordered, usable, values, table.lines)
  const measured = measurePower(samples, chosen.power, mendings)
  const start = startOf(samples, written, table, chosen)
  return { trace: traceOf(samples, measured, start, mendings), mendings }
}

interface Values {
  readonly power: Float64Array
  readonly temperature: Float64Array | null
  readonly clock: Float64Array | null
}

interface Samples extends Values {
  readonly timesS: readonly number[]
  readonly lines: readonly number[]
  /** Row of each sample in the table. */
  readonly rows: readonly number[]
}

// No single machine draws as much: a bigger number is a sentinel or a slip of the logger.
const HIGHEST_POWER_W = 100_000
// A silicon sensor reads between these; 0xFF and the like lie outside.
const TEMPERATURE_RANGE_C = [-60, 200] as const

function valuesOf({ unit }: MeasuredColumn, { fallback }: ChosenColumns) {
  return { dimension: unit.dimension, unit, fallback }
}

function optional(cells: readonly string[], column: MeasuredColumn | undefined, chosen: ChosenColumns) {
  return column === undefined ? null : parseCells(cells, valuesOf(column, chosen))
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
  mendings: Mending[],
): number[] {
  const usable: number[] = []
  const timeless: number[] = []
  const powerless: number[] = []
  for (let row = 0; row < power.length; row++) {
    if (Number.isNaN(written.seconds[row])) timeless.push(row)
    else if (Number.isNaN(power[row])) powerless.push(row)
    else usable.push(row)
  }
  const lines = table.lines
  push(
    mendings,
    'no-time',
    timeless.map((row) => lines[row]!),
    'time could not be read; sample set aside',
  )
  push(
    mendings,
    'no-power',
    powerless.map((row) => lines[row]!),
    'no power value; sample set aside',
  )
  if (usable.length < 2) {
    const where = lines[0] === undefined ? {} : { where: { line: lines[0] } }
    throw new InputError(
      'too-few-samples',
      `needed at least 2 samples with a time and a power, got ${usable.length} (of ${power.length} rows)`,
      { ...where, remedy: 'log for longer, or pick other columns with --power and --time' },
    )
  }
  return usable
}

function push(mendings: Mending[], kind: string, lines: readonly number[], detail: string): void {
  if (lines.length > 0) mendings.push({ kind, count: lines.length, firstLine: lines[0]!, detail })
}

function pick(values: ArrayLike<number>, rows: readonly number[]): Float64Array {
  const picked = new Float64Array(rows.length)
  for (let i = 0; i < rows.length; i++) picked[i] = values[rows[i]!]!
  return picked
}

function sameValues(values: Values, a: number, b: number): boolean {
  return [values.power, values.temperature, values.clock].every(
    (column) => column === null || Object.is(column[a], column[b]),
  )
}

/** Samples in order; those of one time are merged into their mean. */
function samplesOf(
  ordered: OrderedSamples,
  usable: readonly number[],
  values: Values,
  lines: readonly number[],
): Samples {
  const rows = ordered.rows.map((index) => usable[index]!)
  const merge = (column: Float64Array | null) => {
    if (column === null) return null
    const values = pick(column, rows)
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

/** Power of each sample, W, with NaN for those to be set aside. */
function measurePower(samples: Samples, column: MeasuredColumn, mendings: Mending[]): Float64Array {
  const linesAt = (indices: readonly number[]) => indices.map((i) => samples.lines[i]!)
  let powerW = Float64Array.from(samples.power)
  if (column.unit.dimension === 'energy') {
    const counter = powerFromCounter(samples.timesS, samples.power, column.unit.scale)
    powerW = Float64Array.from(counter.powerW)
    const range = counter.rangeJ === null ? '' : ` at ${Number(counter.rangeJ.toPrecision(6))} J`
    push(
      mendings,
      'counter-start',
      [samples.lines[0]!],
      'a counter gives no power for the first sample; it repeats the second',
    )
    push(mendings, 'counter-wrap', linesAt(counter.wraps), `energy counter wrapped around${range}; followed`)
    push(mendings, 'counter-reset', linesAt(counter.resets), 'energy counter was reset; sample set aside')
    push(
      mendings,
      'counter-stale',
      linesAt(counter.stale),
      'energy counter had not been updated; power is the mean between updates',
    )
  } else if (isCountedDown(powerW)) {
    powerW = powerW.map((value) => -value)
    push(
      mendings,
      'sign-reversed',
      [samples.lines[0]!],
      'power is logged as negative (a discharge); its sign was reversed',
    )
  }
  const impossible: number[] = []
  powerW.forEach((value, i) => {
    if (value < 0 || value > HIGHEST_POWER_W) impossible.push(i)
  })
  push(
    mendings,
    'impossible-power',
    linesAt(impossible),
    'power below zero or above 100 kW; sample set aside',
  )
  for (const i of impossible) powerW[i] = Number.NaN
  return powerW
}

function isCountedDown(powerW: Float64Array): boolean {
  let [negative, positive] = [0, 0]
  for (const value of powerW) {
    if (value < 0) negative++
    if (value > 0) positive++
  }
  return negative > 9 * positive
}

function traceOf(samples: Samples, power: Float64Array, startOf: StartOf, mendings: Mending[]): Trace {
  const kept: number[] = []
  for (let i = 0; i < power.length; i++) if (!Number.isNaN(power[i])) kept.push(i)
  if (kept.length < 2) {
    throw new InputError(
      'too-few-samples',
      `needed at least 2 samples with a possible power, got ${kept.length}`,
      {
        remedy: 'pick another column with --power "NAME"',
      },
    )
  }
  const originS = samples.timesS[kept[0]!]!
  const timesS = pick(samples.timesS, kept).map((time) => time - originS)
  const gaps = reportGaps(
    timesS,
    kept.map((i) => samples.lines[i]!),
  )
  mendings.push(...gaps.mendings)
  return {
    timesS,
    powerW: pick(power, kept),
    temperatureC: plausible(samples, kept, mendings),
    clockHz: samples.clock === null ? null : pick(samples.clock, kept),
    intervalS: gaps.intervalS,
    ...startOf(kept[0]!),
  }
}

type StartOf = (sample: number) => Pick<Trace, 'startEpochS' | 'startOfDayS'>

/** When a sample was taken, in the log's own clock; beside an elapsed time, another column may tell. */
function startOf(samples: Samples, written: WrittenTimes, table: TableRows, chosen: ChosenColumns): StartOf {
  const wall = chosen.time?.wall
  if (wall === undefined) return (sample) => startIn(written, samples.rows[sample]!)
  const cells = wall.columns.map(({ index }) => [table.first[index] ?? ''])
  const first = startIn(parseTimes(wall, cells, chosen.fallback), 0)
  return (sample) => {
    const sinceS = written.seconds[samples.rows[sample]!]! - written.seconds[0]!
    const { startEpochS, startOfDayS } = first
    return Number.isNaN(sinceS)
      ? { startEpochS: null, startOfDayS: null }
      : {
          startEpochS: startEpochS === null ? null : startEpochS + sinceS,
          startOfDayS: startOfDayS === null ? null : (startOfDayS + sinceS) % 86_400,
        }
  }
}

function startIn({ scale, seconds, ofDayS }: WrittenTimes, row: number): ReturnType<StartOf> {
  const dated = (scale === 'epoch' || scale === 'wall-clock') && !Number.isNaN(seconds[row])
  const ofDay = ofDayS?.[row]
  return {
    startEpochS: dated ? seconds[row]! : null,
    startOfDayS: ofDay === undefined || Number.isNaN(ofDay) ? null : ofDay,
  }
}

function plausible(
  { temperature, lines }: Samples,
  kept: readonly number[],
  mendings: Mending[],
): Float64Array | null {
  if (temperature === null) return null
  const [low, high] = TEMPERATURE_RANGE_C
  const bad = kept.filter((i) => temperature[i]! < low || temperature[i]! > high)
  push(
    mendings,
    'impossible-temperature',
    bad.map((i) => lines[i]!),
    `temperature outside ${low} to ${high} °C; left out`,
  )
  const values = pick(temperature, kept).map((value) => (value < low || value > high ? Number.NaN : value))
  return values.every((value) => Number.isNaN(value)) ? null : values
}

/** Median interval; single lost samples, and pauses of the logger, are reported and left as they are. */
function reportGaps(
  timesS: Float64Array,
  lines: readonly number[],
): { intervalS: number; mendings: Mending[] } {
  const steps = timesS.slice(1).map((time, i) => time - timesS[i]!)
  const intervalS = Float64Array.from(steps).sort()[Math.floor(steps.length / 2)]!
  const mendings: Mending[] = []
  const lost: number[] = []
  const gaps: number[] = []
  let [lostCount, longestS] = [0, 0]
  steps.forEach((step, i) => {
    if (step > Math.max(GAP_S, GAP_INTERVALS * intervalS)) {
      gaps.push(lines[i + 1]!)
      longestS = Math.max(longestS, step)
    } else if (step > LOST_INTERVALS * intervalS) {
      lost.push(lines[i + 1]!)
      lostCount += Math.round(step / intervalS) - 1
    }
  })
  if (lost.length > 0) {
    const detail = 'samples missing; the interval that follows is longer'
    mendings.push({ kind: 'missing', count: lostCount, firstLine: lost[0]!, detail })
  }
  push(mendings, 'gap', gaps, `no samples for up to ${Number(longestS.toPrecision(4))} s`)
  return { intervalS, mendings }
}

// A step this many times the usual one has lost a sample: jitter of half an interval is common.
const LOST_INTERVALS = 1.6
// A pause that is longer than both is a gap in the log rather than a few lost samples.
const GAP_INTERVALS = 10
const GAP_S = 5
