import { fitChassis } from '../../fit/chassis/fitChassis.js'
import { mainLoad } from '../../machine/mainLoad.js'
import type { ReadStages } from '../../machine/stagesOfLog.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Load, Run } from '../../segment/load.js'
import type { Warning } from '../../warnings.js'
import type { PlanRequest } from './planRequest.js'

/** What a plan rests on, and what is to be said of it. */
export interface PlannedTest {
  readonly request: PlanRequest
  readonly title: string
  readonly warnings: readonly Warning[]
}

/** The next test of a machine that was fitted. */
export function plannedTest(machine: TestedMachine): PlannedTest {
  const load = mainLoad(machine.tests[0]!)?.load
  return {
    request: {
      chassis: machine.chassis,
      chip: machine.chip,
      loop: { gapS: machine.loop.gapS, runS: runLengthS(machine) },
      settled: settledOf(load),
      scatter: machine.scatter.value,
    },
    title: machine.machine,
    warnings: machine.warnings,
  }
}

/** The next test after a log alone, which tells the chassis but not the chip: of several loads, like the longest. */
export function plannedTestOfLog(name: string, stages: ReadStages): PlannedTest {
  const { log, loads, warnings } = stages
  const fit = fitChassis({ name, trials: [{ trace: log.trace, loads }], ambientC: null })
  const load = loads.reduce((best, other) =>
    other.endS - other.startS > best.endS - best.startS ? other : best,
  )
  return {
    request: {
      chassis: fit.chassis,
      chip: null,
      loop: loopOf(load.runs),
      settled: settledOf(load),
      scatter: null,
    },
    title: loads.length > 1 ? `${name}, after its longest load (${numberOf(load, stages)})` : name,
    warnings: [
      ...warnings.filter((warning) => warning.code !== 'not-settled' || warning.atS === load.endS),
      ...fit.warnings.filter((warning) => warning.code !== 'not-settled'),
    ],
  }
}

function numberOf(load: Load, { loads, numbers, found }: ReadStages): string {
  return `${numbers[loads.indexOf(load)]} of ${found}`
}

function settledOf(load: Load | undefined): PlanRequest['settled'] {
  if (load === undefined) return { reached: true, loadS: 0 }
  const cycle = load.stages.at(-1)?.cycle
  return {
    reached: load.sustained.reached,
    loadS: load.endS - load.startS,
    ...(cycle ? { shorterPhaseS: cycle.periodS * Math.min(cycle.highShare, 1 - cycle.highShare) } : {}),
  }
}

function runLengthS(machine: TestedMachine): number | null {
  const lengths = machine.runs.flatMap((run) => (run.endS === null ? [] : [run.endS - run.startS]))
  return lengths.length === 0 ? null : quantile(lengths, 0.5)
}

function loopOf(runs: readonly Run[]): PlanRequest['loop'] {
  if (runs.length < 2) return { gapS: 0, runS: null }
  const gaps = runs.slice(1).map((run, i) => run.startS - runs[i]!.endS)
  return {
    gapS: quantile(gaps, 0.5),
    runS: quantile(
      runs.map((run) => run.endS - run.startS),
      0.5,
    ),
  }
}
