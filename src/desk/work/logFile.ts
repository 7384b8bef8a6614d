/// <reference lib="dom" />
import type { LogOptions } from '../../log/trace.js'

/** A log on the desk: its bytes, and how they are to be read. */
export interface LogFile {
  readonly id: string
  readonly name: string
  readonly blob: Blob
  readonly options: LogOptions
}
