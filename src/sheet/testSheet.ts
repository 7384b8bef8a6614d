import type { InputLocation } from '../errors.js'
import type { LogOptions, RunTime } from '../log/trace.js'
import type { Workload } from '../physics/chip/chip.js'
import { workloadKey } from '../physics/chip/sameWorkload.js'

/** One machine and one workload, as tested: what a YAML test sheet says (section 2 of cli/README.md). */
export interface TestSheet {
  /** Path of the sheet, for messages and for finding its logs. */
  readonly file: string
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  /** Room temperature, degrees C; null when not noted. */
  readonly ambientC: number | null
  readonly workload: Workload
  /** Name of the workload in the sheet, where `workload` is named for one of its metrics too; left out: the same. */
  readonly task?: string
  /** Whether every run takes as long, rather than doing the same work; left out: work. */
  readonly fixed?: 'work' | 'time'
  /** Where the score's unit and `better` are written, for messages. */
  readonly workloadAt: InputLocation
  readonly trials: readonly Trial[]
}

export type Trial = LoggedTrial | NotedTrial

/** A trial whose power was logged. */
export interface LoggedTrial {
  readonly kind: 'logged'
  /** Path of the log as the sheet names it: relative to the sheet. */
  readonly log: string
  /** Which load of the log the trial is, counted from 1; null for the log as a whole. */
  readonly load: number | null
  /** Which unit of the same chip, where a sheet has several: units differ by a little at equal power. */
  readonly unit: string | null
  readonly mode: string | null
  readonly options: LogOptions
  readonly runs: readonly LoggedRun[]
  /** A table that the runs are in instead, relative to the sheet, and the heading of its scores; null where the sheet lists them. */
  readonly table: { readonly file: string; readonly score: string | null } | null
  readonly at: InputLocation
}

/** One scored pass inside a log, or the mean of several; without times it is found in the log, in order. */
export interface LoggedRun {
  readonly start: RunTime | null
  readonly end: RunTime | null
  readonly score: number
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  readonly at: InputLocation
}

/** A trial without a log: levels of power written down by hand. */
export interface NotedTrial {
  readonly kind: 'noted'
  readonly unit: string | null
  readonly mode: string | null
  readonly levels: readonly NotedLevel[]
  readonly runs: readonly NotedRun[]
  readonly at: InputLocation
}

/** Power, and what else was noted of it; null where it wasn't. */
export interface NotedLevel {
  readonly powerW: number
  /** For how long; null for the last level, which lasts. */
  readonly forS: number | null
  readonly clockHz: number | null
  readonly temperatureC: number | null
  /** Share of the time that the power was at its limit, per cent. */
  readonly cappedPct: number | null
}

/** A scored pass that began `afterS` into the load, or the mean of several from there on; the length of one is null when not noted. */
export interface NotedRun {
  readonly afterS: number
  readonly forS: number | null
  readonly score: number
  /** How many runs the score is the mean of, one after another; left out: one. */
  readonly of?: number
  readonly at: InputLocation
}

/** The same for sheets that are fitted together: those of one chip and workload. */
export function groupKey({ chip, workload }: TestSheet): string {
  return JSON.stringify([chip, workloadKey(workload)])
}
