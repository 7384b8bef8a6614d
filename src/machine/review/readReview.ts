import { readInTurn } from '../../files/readInTurn.js'
import { readReviewSheet } from '../../sheet/readSheet.js'
import type { ReviewSheet, SheetTest } from '../../sheet/reviewSheet.js'
import { readTestedMachine, type SharedLogs } from '../readTestedMachine.js'
import type { ReadTest } from '../testedMachine.js'

/** A sheet with the logs of all of its tests read. */
export interface ReadReview {
  readonly sheet: ReviewSheet
  readonly tests: readonly ReadReviewTest[]
}

export interface ReadReviewTest {
  readonly of: SheetTest
  /** Null where no power is known. */
  readonly read: ReadTest | null
}

/**
 * Reads a test sheet with all of its workloads and modes, and every log that it names, each once.
 *
 * @param path - of the sheet: of many workloads, or of one, whose modes are then its tests
 * @returns its tests in the order of workloads, modes and metrics; `read` is null where no power is known
 * @throws InputError as reading the sheet and its logs does
 */
export async function readReview(path: string): Promise<ReadReview> {
  return readReviewTests(await readReviewSheet(path), new Map())
}

/**
 * The logs of a sheet that is read already.
 *
 * @param logs - logs read so far; what is read is added, for whoever asks more of the same sheet
 * @throws InputError as `readReview`
 */
export async function readReviewTests(sheet: ReviewSheet, logs: SharedLogs): Promise<ReadReview> {
  const tests = await readInTurn(sheet.tests, async (of): Promise<ReadReviewTest> => {
    return { of, read: of.sheet.trials.length === 0 ? null : await readTestedMachine(of.sheet, logs) }
  })
  return { sheet, tests }
}
