import type { AuditedFile } from '../../../audit/checkFile.js'
import type { LogOptions } from '../../../log/trace.js'
import type { AsTested } from '../../../machine/asTested.js'
import type { ChipMachines } from '../../../machine/fitArchive.js'
import type { Chip } from '../../../physics/chip/chip.js'
import type { Chassis } from '../../../physics/loop/chassis.js'
import type { Load } from '../../../segment/load.js'
import type { ToldWarning } from '../../output/answerDocument.js'

/** What is known of each task when it is done, by command: as little as tables and pictures need. */
export interface ArchiveRows {
  readonly stages: {
    readonly path: string
    readonly loads: readonly Load[]
    readonly warnings: readonly ToldWarning[]
  }
  readonly check: AuditedFile
  readonly fit: {
    readonly sheets: readonly string[]
    readonly machine: string
    readonly chip: Chip
    readonly chassis: Chassis
    readonly runs: number
    readonly warnings: readonly ToldWarning[]
    readonly tested: readonly AsTested[]
  }
  readonly survey: Omit<ChipMachines, 'failed'> & { readonly failed: readonly FailedTask[] }
}

export type ArchiveCommand = keyof ArchiveRows

/** One piece of work: the files that belong together (one log, or the sheets of one chip) and what is done with them. */
export interface ArchiveTask<C extends ArchiveCommand = ArchiveCommand> {
  readonly command: C
  readonly paths: readonly string[]
  /** Column choices for logs. */
  readonly options: LogOptions
  /** `document`: the command's JSON. `row`: what tables need. */
  readonly wants: 'document' | 'row'
  readonly version: string
  /** Whether a fault of the tool is told with its stack. */
  readonly debug: boolean
}

/** What was wrong with a task, as JSON tells it. */
export interface TaskError {
  readonly code: string
  readonly message: string
  readonly file: string | null
  readonly line: number | null
  /** What to do; null when nobody knows. */
  readonly remedy: string | null
}

/** A task that came to nothing. */
export interface FailedTask {
  readonly kind: 'failed'
  readonly paths: readonly string[]
  readonly error: TaskError
  /** As stderr tells it. */
  readonly said: string
  readonly status: 1 | 2
}

/** The end of one task. Plain data: it comes from another thread. */
export type ArchiveAnswer<C extends ArchiveCommand = ArchiveCommand> =
  | FailedTask
  | {
      readonly kind: 'done'
      readonly paths: readonly string[]
      /** The command's JSON document on one line; empty when a row was wanted. */
      readonly document: string
      readonly row: ArchiveRows[C] | undefined
      /** The exit status that this task alone would have: 0, or 3 when a check found something unsafe. */
      readonly status: 0 | 3
    }
