import type { LogFile } from './logFile.js'
import type { LogCardFacts } from './readLogCard.js'

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
}

export type JobKind = keyof DeskJobs

/** One question, as it is posted to the worker. */
export type DeskJob = {
  readonly [K in JobKind]: { readonly kind: K } & DeskJobs[K]['ask']
}[JobKind]

/** What the worker posts back: how far it is, then an answer or a fault. */
export type WorkMessage =
  | { readonly number: number; readonly share: number }
  | { readonly number: number; readonly answer: DeskJobs[JobKind]['answer'] }
  | { readonly number: number; readonly fault: DeskFault }

/** Why something could not be done, in words, and what to do. */
export interface DeskFault {
  readonly message: string
  readonly remedy: string
  readonly code: string
}
