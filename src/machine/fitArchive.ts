import { InputError } from '../errors.js'
import { readInTurn } from '../files/readInTurn.js'
import type { Estimate } from '../numeric/statistics/estimate.js'
import type { Chip } from '../physics/chip/chip.js'
import type { Chassis } from '../physics/loop/chassis.js'
import type { HoldLabel } from '../segment/load.js'
import { readSheet } from '../sheet/readSheet.js'
import type { Warning } from '../warnings.js'
import { fitTestChassis, type TestChassis } from './fitTestChassis.js'
import { fitTests } from './fitTests.js'
import { mainLoad } from './mainLoad.js'
import { measuredScores } from './measuredScores.js'
import { readTestedMachine } from './readTestedMachine.js'
import type { ReadTest } from './testedMachine.js'

/** One machine of an archive: which watts it holds, and what it scored with them. */
export interface ArchiveMachine {
  readonly sheet: string
  readonly machine: string
  /** Power mode of the trial that the chassis is told from; null when not noted. */
  readonly mode: string | null
  readonly chassis: Chassis
  /** Where the power settles, as measured. */
  readonly sustainedW: Estimate
  /** What held the power in the end; null for levels noted by hand. */
  readonly heldBy: HoldLabel | null
  /** Whether the log shows the settled power; null for levels noted by hand. */
  readonly reached: boolean | null
  readonly settleAfterS: Estimate | null
  readonly steadyScore: Estimate | null
  readonly warnings: readonly Warning[]
}

/** The machines of an archive that share a chip and a workload. */
export interface ChipMachines {
  /** Fitted from the scored runs of all machines together; null when there is no scored run. */
  readonly chip: Chip | null
  readonly machines: readonly ArchiveMachine[]
  readonly warnings: readonly Warning[]
  /** Sheets that gave no machine, each with the reason. */
  readonly failed: readonly { readonly path: string; readonly error: InputError }[]
}

/**
 * Fits the machines of one chip and workload: the chip once, from the runs of all, and the chassis of each. A sheet that can't
 * be read or holds no load is set aside with its reason; a machine without scores is kept for its watts.
 *
 * @param paths - test sheets of the same chip and workload
 */
export async function fitArchive(paths: readonly string[]): Promise<ChipMachines> {
  const tried = await readInTurn(paths, tryTest)
  const good = tried.flatMap((each) => ('test' in each ? [each] : []))
  const failed = tried.flatMap((each) => ('error' in each ? [each] : []))
  const tests = good.map(({ test }) => test)
  const isScored = tests.some((test) =>
    test.trials.some((read) => (read.kind === 'logged' ? read.runs : read.trial.runs).length > 0),
  )
  const fit = isScored ? fitTests(tests, () => good[0]!.chassis) : undefined
  const scatter = fit?.scatter.value ?? 0
  return {
    chip: fit?.chip ?? null,
    machines: good.map((each) => archiveMachine(each, scatter)),
    warnings: fit?.warnings ?? [],
    failed,
  }
}

interface TriedTest {
  readonly test: ReadTest
  readonly chassis: TestChassis
}

async function tryTest(
  path: string,
): Promise<TriedTest | { readonly path: string; readonly error: InputError }> {
  try {
    const test = await readTestedMachine(await readSheet(path))
    return { test, chassis: fitTestChassis(test) }
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    return { path, error }
  }
}

function archiveMachine({ test, chassis }: TriedTest, scatter: number): ArchiveMachine {
  const main = mainLoad(test)
  return {
    sheet: test.sheet.file,
    machine: test.sheet.machine,
    mode: main?.trial.trial.mode ?? test.sheet.trials[0]!.mode,
    chassis: chassis.chassis,
    sustainedW: main?.load.sustained.levelW ?? chassis.chassis.sustainedW,
    heldBy: main === undefined ? null : (main.load.stages.at(-1)?.heldBy.label ?? 'undetermined'),
    reached: main?.load.sustained.reached ?? null,
    settleAfterS: main?.load.sustained.settleAfterS ?? null,
    steadyScore: measuredScores(test, scatter).asTested.steadyScore,
    warnings: chassis.warnings,
  }
}
