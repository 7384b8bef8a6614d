/**
 * Power over time. Arrays have equal length n >= 2; `timesS` rises strictly; 0 is the log's first sample, and a part of a
 * log starts later.
 * A logged power is the mean over the interval that ends at its sample, unless the logger says otherwise.
 */
export interface Trace {
  readonly timesS: Float64Array
  readonly powerW: Float64Array
  /** Degrees C, NaN where a sample has none; null without a temperature column. */
  readonly temperatureC: Float64Array | null
  /** Hz, NaN where a sample has none; null without a clock column. */
  readonly clockHz: Float64Array | null
  /** Set power limit, W, NaN where a sample has none; null or absent without such a column. */
  readonly limitW?: Float64Array | null
  /** How busy the chip was, 0 to 100 %, NaN where a sample has none; null or absent without such a column. */
  readonly usePct?: Float64Array | null
  /** Power of two parts of the chosen one, W, NaN where a sample has none; null or absent where the log has no such columns. */
  readonly parts?: PowerParts | null
  /** Pace of the workload as its column has it, NaN where a sample has none; null or absent where none was asked for. */
  readonly rate?: Float64Array | null
  /** What the machine itself says held it, as flags of `REASON`; null or absent without a column that can be read. */
  readonly reasons?: Uint8Array | null
  /** Every temperature of the log, the chosen one first; empty or absent without any. */
  readonly temperatures?: readonly NamedTemperature[]
  /** Median sampling interval, s. */
  readonly intervalS: number
  /** Seconds since 1970 UTC of the first sample; null when the log has no date. */
  readonly startEpochS: number | null
  /** Time of day of the first sample, seconds after midnight in the log's own clock; null for elapsed time. */
  readonly startOfDayS: number | null
}

/** Parts of one power. */
export interface PowerParts {
  readonly processorW: Float64Array
  readonly graphicsW: Float64Array
}

/** One temperature column, or the hottest of a numbered family. */
export interface NamedTemperature {
  /** As the header names it. */
  readonly name: string
  /** Degrees C, NaN where a sample has none. */
  readonly celsius: Float64Array
}

/**
 * Flags of `Trace.reasons`; several may be set in one sample. No flag says that nothing held the machine; a sample without a reading, or
 * of no known meaning, is `other`.
 */
export const REASON = { powerLimit: 1, heat: 2, idle: 4, demand: 8, other: 16 } as const

/** A line that was passed over, counted from 1. */
export interface SkippedLine {
  readonly line: number
  readonly reason: string
}

/** Samples that were mended or set aside, by kind (`out-of-order`, `duplicate-time`, `counter-wrap`, `gap`, ...). */
export interface Repair {
  readonly kind: string
  readonly count: number
  readonly firstLine: number | null
  readonly detail: string
}

export interface LogColumns {
  readonly time: string | null
  readonly power: string
  readonly temperature: string | null
  readonly clock: string | null
  readonly limit: string | null
  readonly use: string | null
  readonly reasons: string | null
  /** The column, or formula, that the workload's pace was read from. */
  readonly rate: string | null
  /** All temperatures that were read, the chosen one first. */
  readonly temperatures: readonly string[]
  /** The column that tells several machines apart, and the one whose rows were read; null in a log of one machine. */
  readonly device: { readonly column: string; readonly value: string } | null
}

export interface ParsedLog {
  readonly trace: Trace
  readonly columns: LogColumns
  readonly skipped: readonly SkippedLine[]
  readonly repairs: readonly Repair[]
}

/**
 * A time as a person writes it: when a run began, where a part of a log ends. `elapsedS` counts from the log's first sample; `ofDayS` from midnight of the
 * log's own clock. `HH:MM:SS` may be either (both are set): the log decides. `epochS` is a full date and time.
 */
export interface RunTime {
  readonly elapsedS: number | null
  readonly ofDayS: number | null
  readonly epochS: number | null
  readonly text: string
}

/** When a load began and ended, as a person writes it. */
export interface GivenTimes {
  readonly from: RunTime
  readonly to: RunTime
}

/** Which columns and which part of a log to take, and its sampling interval where it has no times: as the command line and the sheet say. */
export interface LogOptions {
  /** A column's name, or a formula over several (`volts * amps`). */
  readonly power?: string
  readonly time?: string
  /** The column with the workload's pace, or a formula; none is looked for unasked. */
  readonly rate?: string
  readonly temperature?: string
  readonly clock?: string
  /** Which machine's rows to read, where the log tells several apart: as the cell says. */
  readonly device?: string
  /** Names of a bit mask's bits, by value: `4=power 8=heat 1=idle`. */
  readonly reasonBits?: string
  /** Takes the samples from here on only. */
  readonly from?: RunTime
  /** Takes the samples up to here only. */
  readonly to?: RunTime
  /** Loads as a person set them, in place of those that would be found. Readers of samples alone pass them over. */
  readonly loads?: readonly GivenTimes[]
  /** Looks at one load only: its number in the log or in the part that is taken, counted from 1. Readers of samples alone pass it over. */
  readonly load?: number
  /** Seconds between samples when the log has no time column. */
  readonly everyS?: number
  /** The file's name, for messages. */
  readonly file?: string
}

/** Whether a step between samples is a pause of the logger rather than a few lost samples: longer than 10 intervals and 5 s. */
export function isGap(stepS: number, intervalS: number): boolean {
  return stepS > Math.max(GAP_LEAST_S, GAP_INTERVALS * intervalS)
}

/** Far above jitter and single lost samples; common practice, no source. */
const GAP_INTERVALS = 10
const GAP_LEAST_S = 5
