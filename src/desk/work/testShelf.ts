import { InputError } from '../../errors.js'
import { fitTestChassis } from '../../machine/fitTestChassis.js'
import { fitTests, requireSameChip } from '../../machine/fitTests.js'
import type { ReadTest, TestedMachine } from '../../machine/testedMachine.js'
import { testFromLogs } from '../../machine/testFromLogs.js'
import { parseSheet } from '../../sheet/parseSheet.js'
import type { LogFile } from './logFile.js'
import { kept, type LogShelf } from './logShelf.js'
import type { SheetFile } from './question.js'

/** Tests and fits that this worker has made of sheets and logs on the desk. */
export interface TestShelf {
  readonly test: (sheet: SheetFile) => Promise<ReadTest>
  /** Fits sheets of one chip and workload together, as the commands do. */
  readonly fit: (
    sheets: readonly SheetFile[],
    wanted?: { readonly thermal?: boolean },
  ) => Promise<TestedMachine>
}

/** What is kept from one question to the next. */
export interface KeptTests {
  readonly tests: Map<string, Promise<ReadTest>>
  readonly fits: Map<string, Promise<TestedMachine>>
}

/** @param logs - the logs on the desk, among which sheets find theirs by name */
export function testShelf(logs: readonly LogFile[], shelf: LogShelf, { tests, fits }: KeptTests): TestShelf {
  const files = JSON.stringify(logs.map(({ id, name }) => [id, name]))
  const test = (sheet: SheetFile) =>
    kept(tests, JSON.stringify([sheet.file, sheet.text, sheet.asked, files]), () =>
      readTest(sheet, logs, shelf),
    )
  return {
    test,
    fit: (sheets, wanted = {}) =>
      kept(fits, JSON.stringify([sheets, wanted, files]), async () => {
        const read = await Promise.all(sheets.map(test))
        for (const other of read.slice(1)) requireSameChip(read[0]!.sheet, other.sheet)
        return fitTests(read, (first) => fitTestChassis(first, wanted))
      }),
  }
}

async function readTest(
  { file, text, asked }: SheetFile,
  logs: readonly LogFile[],
  shelf: LogShelf,
): Promise<ReadTest> {
  return testFromLogs(parseSheet(text, file, asked), {
    log: async (trial) => {
      const log = fileNamed(trial.log, { logs, sheet: file, code: 'log-missing' })
      return { path: trial.log, log: await shelf.parse({ ...log, name: trial.log, options: trial.options }) }
    },
    table: async ({ table }) => {
      const { blob } = fileNamed(table.file, { logs, sheet: file, code: 'scores-missing' })
      return { file: table.file, text: await blob.slice(0, LARGEST_TABLE_BYTES).text() }
    },
  })
}

/** Far above any table of scores. */
const LARGEST_TABLE_BYTES = 4e6

/** The file that a sheet names: by its whole path where the desk has it so, else by its name alone. */
function fileNamed(
  path: string,
  { logs, sheet, code }: { readonly logs: readonly LogFile[]; readonly sheet: string; readonly code: string },
): LogFile {
  const name = (text: string) => text.split(/[\\/]/).at(-1)
  const found = logs.find((log) => log.name === path) ?? logs.find((log) => name(log.name) === name(path))
  if (found !== undefined) return found
  throw new InputError(code, `the sheet names \`${path}\`, which is not on the desk`, {
    where: { file: sheet },
    remedy: 'drop that file onto the desk too',
  })
}
