/**
 * Power over time. Arrays have equal length n >= 2; `timesS` rises strictly from 0 (the log's first sample).
 * A logged power is the mean over the interval that ends at its sample, unless the logger says otherwise.
 */
export interface Trace {
  readonly timesS: Float64Array
  readonly powerW: Float64Array
  /** Degrees C, NaN where a sample has none; null without a temperature column. */
  readonly temperatureC: Float64Array | null
  /** Hz, NaN where a sample has none; null without a clock column. */
  readonly clockHz: Float64Array | null
  /** Median sampling interval, s. */
  readonly intervalS: number
  /** Seconds since 1970 UTC of the first sample; null when the log has no date. */
  readonly startEpochS: number | null
  /** Time of day of the first sample, seconds after midnight in the log's own clock; null for elapsed time. */
  readonly startOfDayS: number | null
}

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
}

export interface ParsedLog {
  readonly trace: Trace
  readonly columns: LogColumns
  readonly skipped: readonly SkippedLine[]
  readonly repairs: readonly Repair[]
}

/** Column choices and the sampling interval of a log without times, as the command line and the sheet give them. */
export interface LogOptions {
  readonly power?: string
  readonly time?: string
  readonly temperature?: string
  readonly clock?: string
  /** Seconds between samples when the log has no time column. */
  readonly everyS?: number
  /** The file's name, for messages. */
  readonly file?: string
}
