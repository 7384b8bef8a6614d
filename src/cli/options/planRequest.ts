import { basename } from 'node:path'
import type { LogOptions } from '../../log/trace.js'
import { fitMachine } from '../../machine/fitMachine.js'
import { readStages } from '../../machine/readStages.js'
import { type PlannedTest, plannedTest, plannedTestOfLog } from '../../predict/plan/plannedTest.js'
import { isSheetFile } from '../../sheet/isSheetFile.js'
import { readSheet } from '../../sheet/readSheet.js'

/** Reads what a plan rests on: a fitted sheet, or a log alone, which tells the chassis but not the chip. */
export async function planRequest(path: string, options: LogOptions): Promise<PlannedTest> {
  if (await isSheetFile(path)) return plannedTest(await fitMachine(await readSheet(path)))
  return plannedTestOfLog(basename(path), await readStages(path, options))
}
