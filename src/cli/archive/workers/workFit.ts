import { readInTurn } from '../../../files/readInTurn.js'
import { machinesAsTested } from '../../../machine/asTested.js'
import { fitArchive } from '../../../machine/fitArchive.js'
import { fitMachine } from '../../../machine/fitMachine.js'
import { tabulateCurve } from '../../../model/tabulateCurve.js'
import { readSheet } from '../../../sheet/readSheet.js'
import type { Warning } from '../../../warnings.js'
import { fitDocument } from '../../output/fitDocument.js'
import type { ArchiveRows, ArchiveTask } from './archiveTask.js'
import { failedTask } from './failedTask.js'

interface WorkedFit<Row> {
  readonly row: Row
  readonly warnings: readonly Warning[]
  readonly fields: () => object
}

/** Fits the sheets of one chip and workload together, as `holdwatt fit` does. */
export async function workFit(paths: readonly string[]): Promise<WorkedFit<ArchiveRows['fit']>> {
  const fitted = await fitMachine(await readInTurn(paths, readSheet))
  const { machine, chip, chassis, runs, warnings } = fitted
  return {
    row: {
      sheets: paths,
      machine,
      chip,
      chassis,
      runs: runs.length,
      warnings,
      tested: machinesAsTested(fitted),
    },
    warnings,
    fields: () => fitDocument(fitted, tabulateCurve(chip)),
  }
}

/** Fits the machines of one chip and workload for a survey. */
export async function workSurvey({ paths, debug }: ArchiveTask): Promise<WorkedFit<ArchiveRows['survey']>> {
  const fleet = await fitArchive(paths)
  const failed = fleet.failed.map(({ path, error }) => failedTask([path], error, debug))
  return { row: { ...fleet, failed }, warnings: fleet.warnings, fields: () => fleet }
}
