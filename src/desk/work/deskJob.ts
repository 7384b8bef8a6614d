import type { LogFile } from './logFile.js'
import type { PublishRequest } from './publishMachines.js'
import type { DeskAnswer, Question, SheetFile } from './question.js'
import type { LogCardFacts } from './readLogCard.js'
import type { ScoresPlaced } from './scoreSheet.js'

/** What the desk asks of its worker, by kind: what is handed over, and what comes back. */
export interface DeskJobs {
  /** Reads a log and finds its loads. */
  readonly stages: { readonly ask: { readonly log: LogFile }; readonly answer: LogCardFacts }
  /** Draws the trace of a log, or a part of it, as SVG. */
  readonly trace: {
    readonly ask: {
      readonly log: LogFile
      readonly widthPx: number
      readonly windowS: readonly [number, number] | null
    }
    readonly answer: string
  }
  /** Names of all columns of a log. */
  readonly columns: { readonly ask: { readonly log: LogFile }; readonly answer: readonly string[] }
  /** Begins a test sheet for a load of a log. */
  readonly draft: {
    readonly ask: { readonly log: LogFile; readonly load: number | null; readonly machine: string }
    readonly answer: string
  }
  /** Puts a table of scores into a sheet. */
  readonly scores: {
    readonly ask: { readonly sheet: SheetFile; readonly logs: readonly LogFile[]; readonly table: string }
    readonly answer: ScoresPlaced
  }
  readonly page: { readonly ask: PublishRequest; readonly answer: string }
  readonly models: {
    readonly ask: { readonly sheets: readonly SheetFile[]; readonly logs: readonly LogFile[] }
    readonly answer: { readonly chip: string; readonly chassis: string }
  }
  readonly question: {
    readonly ask: { readonly question: Question; readonly logs: readonly LogFile[] }
    readonly answer: DeskAnswer
  }
  /** Draws a chart of an answer: for the page, or titled and in colours of its own to be taken away. */
  readonly picture: {
    readonly ask: {
      readonly question: Question
      readonly logs: readonly LogFile[]
      readonly name: string
      readonly widthPx: number
      readonly form: 'page' | 'light' | 'dark'
    }
    readonly answer: string
  }
}

export type JobKind = keyof DeskJobs

/** One question, as it is posted to the worker. */
export type DeskJob = {
  readonly [K in JobKind]: { readonly kind: K } & DeskJobs[K]['ask']
}[JobKind]

/** What the worker posts back: how far it is, then an answer or a fault. */
export type WorkMessage =
  | { readonly number: number; readonly share: number; readonly picture: string | null }
  | { readonly number: number; readonly answer: DeskJobs[JobKind]['answer'] }
  | { readonly number: number; readonly fault: DeskFault }

/** Why something could not be done, in words, and what to do. */
export interface DeskFault {
  readonly message: string
  readonly remedy: string
  readonly code: string
}
