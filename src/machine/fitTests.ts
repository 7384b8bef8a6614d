import { InputError } from '../errors.js'
import { findIdlePower } from '../fit/chassis/findIdlePower.js'
import { type FittedRun, fitChip } from '../fit/chip/fitChip.js'
import { isSameWorkload } from '../physics/chip/sameWorkload.js'
import type { TestSheet } from '../sheet/testSheet.js'
import type { Warning } from '../warnings.js'
import { fitTestChassis, type TestChassis } from './fitTestChassis.js'
import { measuredScores } from './measuredScores.js'
import { scoredRuns } from './scoredRuns.js'
import type { ReadTest, TestedMachine } from './testedMachine.js'

/**
 * Fits one machine from tests that are read already, of one chip and workload: the chip from the runs of all of them, the chassis
 * from the first.
 *
 * @param chassisOf - the chassis of the first test, where it is fitted already or only parts of it are wanted
 * @param wanted.criticism - as `fitChip` takes it
 * @throws InputError `runs-missing`, `no-load`
 */
export function fitTests(
  tests: readonly ReadTest[],
  chassisOf: (test: ReadTest) => TestChassis = fitTestChassis,
  wanted: { readonly criticism?: boolean } = {},
): TestedMachine {
  const first = tests[0]!.sheet
  const scored = tests.map(scoredRuns)
  const scores = scored.flatMap((part) => part.scores)
  if (scores.length === 0) throw runsMissing(first)
  const chassis = chassisOf(tests[0]!)
  const fit = fitChip({
    name: first.chip,
    workload: first.workload,
    runs: scores.map((score) => score.run),
    demandW: chassis.demandW,
    idleW: idleOf(tests[0]!),
    ...wanted,
  })
  return {
    machine: first.machine,
    tests,
    // Runs that all take as long say nothing of how long they would take elsewhere.
    chip: first.fixed === 'time' ? { ...fit.chip, workPerRun: null } : fit.chip,
    chassis: chassis.chassis,
    runs: fit.runs.map((run: FittedRun, index) => ({ ...run, placedBy: scores[index]!.placedBy })),
    scatter: fit.scatter,
    criticism: fit.criticism,
    ...measuredScores(tests[0]!, fit.scatter.value),
    warnings: withoutRepeats([
      ...tests.flatMap((test) => test.warnings),
      ...scored.flatMap((part) => part.warnings),
      ...fit.warnings,
      ...chassis.warnings,
    ]),
    testWarnings: tests.map((test, index) =>
      withoutRepeats([
        ...test.warnings,
        ...scored[index]!.warnings,
        ...(index === 0 ? chassis.warnings : []),
      ]),
    ),
  }
}

/** Power between the loads of the first log that shows it, W. */
export function idleOf(test: ReadTest): number | null {
  for (const trial of test.trials) {
    if (trial.kind !== 'logged' || trial.loads.length === 0) continue
    const idleW = findIdlePower(trial.log.trace, trial.loads[0]!)
    if (idleW !== undefined) return idleW
  }
  return null
}

/** @throws InputError `sheets-differ` when two sheets are not of one chip and workload */
export function requireSameChip(first: TestSheet, other: TestSheet): void {
  if (first.chip === other.chip && isSameWorkload(first.workload, other.workload)) return
  const say = (sheet: TestSheet) => `${sheet.chip} on ${sheet.workload.name} (${sheet.workload.score})`
  const message = `expected sheets of one chip and workload, got ${say(first)} and ${say(other)}`
  throw new InputError('sheets-differ', message, {
    where: other.workloadAt,
    remedy: 'fit them one by one, or set them side by side with: holdwatt compare',
  })
}

function runsMissing(sheet: TestSheet): InputError {
  return new InputError('runs-missing', 'expected at least one scored run, got none', {
    where: { file: sheet.file },
    remedy: 'add `runs:` with a `score` each under a trial',
  })
}

function withoutRepeats(warnings: readonly Warning[]): readonly Warning[] {
  const seen = new Set<string>()
  return warnings.filter((warning) => {
    const key = JSON.stringify(warning)
    return !seen.has(key) && seen.add(key) !== undefined
  })
}
