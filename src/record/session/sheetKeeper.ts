import { readTextFile } from '../../files/readTextFile.js'
import { formatSheet, type RecordedTrial, runLines, type SheetHead } from './formatSheet.js'
import type { RecordedRun } from './recordedRun.js'
import { removeSheet, writeSheet } from './writeSheet.js'

/** The sheet of a recording, whole after each run. */
export interface SheetKeeper {
  /** Writes it as it is, with times in which nothing was recorded. */
  readonly write: (gaps?: RecordedTrial['sleeps']) => Promise<void>
  /** Whether the sheet on the disk lacks a run that was recorded, or is not there. */
  readonly isStale: () => Promise<boolean>
  readonly add: (run: RecordedRun) => Promise<void>
  readonly trial: () => RecordedTrial
  /** Takes away a sheet that was written in vain. */
  readonly discard: () => Promise<void>
}

/**
 * Keeps the runs of a recording and writes its sheet.
 *
 * @param path - null without a command: there is no sheet then
 * @param begun - what the log holds already
 * @param mayReplace - whether a sheet may be replaced that a recording made before
 */
export function sheetKeeper(
  path: string | null,
  head: SheetHead,
  begun: RecordedTrial,
  mayReplace: boolean,
): SheetKeeper {
  let trial = begun
  let allowed = mayReplace
  const write = async (gaps: RecordedTrial['sleeps'] = []): Promise<void> => {
    trial = { ...trial, sleeps: [...trial.sleeps, ...gaps] }
    if (path === null) return
    await writeSheet(path, formatSheet(head, trial), allowed)
    allowed = true
  }
  return {
    write,
    isStale: async () => {
      if (path === null) return false
      const written = await readTextFile(path).catch(() => '')
      return runLines(head, trial).some((line) => !written.includes(line))
    },
    add: async (run) => {
      trial = { ...trial, runs: [...trial.runs, run] }
      await write()
    },
    trial: () => trial,
    discard: async () => {
      if (path !== null) await removeSheet(path)
    },
  }
}
