/// <reference lib="dom" />
import { createContext } from 'preact'
import type { AnswerStore } from '../state/answerStore.js'
import type { Desk } from '../state/desk.js'
import type { DeskWork } from '../state/deskWork.js'
import type { LogFile } from '../work/logFile.js'

/** What every part of the desk may reach: what lies on it, how to change that, and the workers. */
export interface DeskReach {
  readonly desk: Desk
  /** Makes a step that can be undone. */
  readonly change: (next: (desk: Desk) => Desk) => void
  readonly work: DeskWork
  /** Answers that came already, by question. */
  readonly answers: AnswerStore
  readonly blobs: ReadonlyMap<string, Blob>
  /** A log with its bytes, as a worker takes it. */
  readonly fileOf: (id: string) => LogFile | null
  /** All logs with their bytes. */
  readonly files: readonly LogFile[]
  /** Says something to everybody, screen readers too. */
  readonly say: (words: string) => void
}

export const DeskContext = createContext<DeskReach>(null as unknown as DeskReach)
