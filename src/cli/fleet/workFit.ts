import { fitFleet } from '../../machine/fitFleet.js'
import { fitMachine } from '../../machine/fitMachine.js'
import { readSheet } from '../../machine/readSheet.js'
import { tabulateCurve } from '../../machine/tabulateCurve.js'
import type { Warning } from '../../warnings.js'
import { fitDocument } from '../fitDocument.js'
import { failedTask } from './failedTask.js'
import type { FleetRows, FleetTask } from './fleetTask.js'

interface WorkedFit<Row> {
  readonly row: Row
  readonly warnings: readonly Warning[]
  readonly fields: () => object
}

/** Fits the sheets of one chip and workload together, as `holdwatt fit` does. */
export async function workFit(paths: readonly string[]): Promise<WorkedFit<FleetRows['fit']>> {
  const fitted = await fitMachine(await Promise.all(paths.map(readSheet)))
  const { machine, chip, chassis, runs, warnings } = fitted
  return {
    row: { sheets: paths, machine, chip, chassis, runs: runs.length, warnings },
    warnings,
    fields: () => fitDocument(fitted, tabulateCurve(chip)),
  }
}

/** Fits the machines of one chip and workload for a survey. */
export async function workSurvey({ paths, debug }: FleetTask): Promise<WorkedFit<FleetRows['survey']>> {
  const fleet = await fitFleet(paths)
  const failed = fleet.failed.map(({ path, error }) => failedTask([path], error, debug))
  return { row: { ...fleet, failed }, warnings: fleet.warnings, fields: () => fleet }
}
