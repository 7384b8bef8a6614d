import { InputError } from '../../errors.js'
import type { FormulaOptions } from '../../log/formula/formulaOptions.js'
import { parseLog } from '../../log/parseLog.js'
import type { ParsedLog } from '../../log/trace.js'
import { findLoads } from '../../segment/findLoads.js'
import type { Load } from '../../segment/load.js'
import { type PresentStage, presentStage } from './judgeStage.js'

/** What a log that is still being written says so far. */
export interface StreamState {
  readonly log: ParsedLog
  readonly loads: readonly Load[]
  /** Undefined when there is no load yet, or it has ended. */
  readonly stage: PresentStage | undefined
}

/** Keeps what a logger has written, and reads it as a log. */
export interface StreamWatch {
  readonly push: (bytes: Uint8Array) => void
  /** Reads all whole lines anew; undefined while they are no log yet. */
  readonly judge: () => StreamState | undefined
  /** Why the lines so far are no log; undefined when they are one. */
  readonly fault: () => InputError | undefined
}

/**
 * Watches a log as its logger writes it, in any form that `parseLog` reads. All of it is read anew each time, since what is
 * learnt late (a unit, a date's order, a wrap) bears on the rows before; how often is for the caller to pace.
 */
export function streamWatch(options: FormulaOptions): StreamWatch {
  let bytes = Buffer.alloc(0)
  let waiting: Uint8Array[] = []
  let fault: InputError | undefined
  return {
    push: (piece) => {
      waiting.push(Uint8Array.from(piece))
    },
    judge: () => {
      bytes = Buffer.concat([bytes, ...waiting])
      waiting = []
      try {
        const log = parseLog(bytes.subarray(0, bytes.lastIndexOf(LINE_BREAK) + 1), options)
        const loads = findLoads(log.trace)
        fault = undefined
        return { log, loads, stage: presentStage(log.trace, loads) }
      } catch (error) {
        if (!(error instanceof InputError)) throw error
        fault = error
        return undefined
      }
    },
    fault: () => fault,
  }
}

const LINE_BREAK = 0x0a
