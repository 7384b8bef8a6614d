import { fitChip } from '../../fit/chip/fitChip.js'
import type { PowerProfile } from '../../fit/chip/profileRun.js'
import { runHeat } from '../../fit/chip/runHeat.js'
import { scoreScatter } from '../../fit/chip/scoreScatter.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Chip, Workload } from '../../physics/chip/chip.js'
import { rateFromScore } from '../../physics/chip/chipAt.js'
import type { HoldLabel } from '../../segment/load.js'
import type { Warning } from '../../warnings.js'
import { idleOf } from '../fitTests.js'
import { steadyRuns } from '../measuredScores.js'
import { type PlacedScore, scoredRuns } from '../scoredRuns.js'
import type { ReadTest } from '../testedMachine.js'
import { type CountedScores, meanScore } from './countedScores.js'
import type { ReadReview, ReadReviewTest } from './readReview.js'
import { heldInTest, type LabelledTest, labelByMachine, type TestPace, taskDemand } from './taskDemand.js'

/** A machine with everything that it was tested with, and what its chip makes of a watt in each workload. */
export interface ReviewedMachine {
  readonly file: string
  readonly machine: string
  readonly chip: string
  readonly chassis: string
  readonly tests: readonly ReviewedTest[]
}

/** One machine in one workload and power mode, by one metric. */
export interface ReviewedTest {
  readonly task: string
  readonly metric: string
  readonly isFirst: boolean
  readonly isOneOfSeveral: boolean
  readonly mode: string | null
  readonly workload: Workload
  /** All scored runs; those of the settled end of a loop, where the test shows one, beside them. */
  readonly all: ScoredPart
  readonly steady: ScoredPart | null
  /** Relative standard deviation of one run's score. */
  readonly scatter: Estimate
  /** Fitted from the runs of every machine and mode with this chip in this workload; null where no power is known. */
  readonly chip: Chip | null
  /** What held the power in the end; null where no log tells. */
  readonly heldBy: HoldLabel | null
  readonly warnings: readonly Warning[]
  /** What is poor in the fit of the chip, over all machines and modes: told with the first test that it was fitted from. */
  readonly chipWarnings: readonly Warning[]
}

/** Some runs of a test: what they scored, and the power that earned it. */
export interface ScoredPart extends CountedScores {
  /** Null where the power of none is known. */
  readonly power: ScoredPower | null
}

/** The power of some runs, taken together. */
export interface ScoredPower {
  readonly profile: Pick<PowerProfile, 'powersW' | 'secondsS' | 'meanW'>
  /** Temperature of the silicon, degrees C, mean of the runs; null where not all tests of the chip logged it. */
  readonly meanC: number | null
}

/**
 * Fits the chips of a review: for each chip, workload and metric one curve, from the runs of all machines with the chip and of all
 * modes, so that mains, battery and power modes measure it at several powers. No chassis is fitted: a review tells powers as they were.
 *
 * Runs of one machine in one workload and mode are told as a whole (`all`) and, where a loop settles, from there on (`steady`). Powers are
 * in W, times in s, scores in the unit of their workload. A test without power has no chip and no `heldBy`: its scores alone are told.
 *
 * @param read - every machine with its logs read, as `readReview` gives them; those that are to be set side by side, together
 * @returns the machines and their tests in the order given; a test's `warnings` say what is poor in its data
 * @throws InputError those of `fitChip`, as `score-not-positive`
 * @source the curve and its uncertainty: `fitChip`
 * @example
 * const whole = parseReview('machine: Wren\nchip: A\nchassis: B\nworkloads: [{ name: copy, score: MB/s, better: higher }]\ntrials: [{ workload: copy, runs: [{ score: 900 }, { score: 940 }] }]', 'wren.yaml')
 * fitReview([{ sheet: whole, tests: whole.tests.map((of) => ({ of, read: null })) }])[0].tests[0].all.scores // [900, 940]
 */
export function fitReview(read: readonly ReadReview[]): readonly ReviewedMachine[] {
  const groups = new Map<string, TestOfMachine[]>()
  for (const machine of read) {
    for (const test of machine.tests) {
      const { task, metric } = test.of
      const { score, better } = test.of.sheet.workload
      const key = JSON.stringify([
        machine.sheet.chip,
        task.toLowerCase(),
        metric.toLowerCase(),
        score,
        better,
      ])
      groups.set(key, [...(groups.get(key) ?? []), { machine, test }])
    }
  }
  const reviewed = new Map([...groups.values()].flatMap(reviewGroup))
  return read.map(({ sheet, tests }) => ({
    file: sheet.file,
    machine: sheet.machine,
    chip: sheet.chip,
    chassis: sheet.chassis,
    tests: tests.map((test) => reviewed.get(test)!),
  }))
}

interface TestOfMachine {
  readonly machine: ReadReview
  readonly test: ReadReviewTest
}

/** All tests of one chip in one workload, by one metric. */
function reviewGroup(group: readonly TestOfMachine[]): [ReadReviewTest, ReviewedTest][] {
  const scored = group.map(({ test }) => (test.read === null ? noScores : scoredRuns(test.read)))
  const runs = scored.flatMap(({ scores }) => scores.map(({ run }) => run))
  const heat = runHeat(runs)
  const labelled = group.map(labelledTest)
  const demand = taskDemand(labelled.flatMap((test) => test ?? []))
  const { sheet } = group[0]!.test.of
  const fit =
    runs.length === 0
      ? null
      : fitChip({
          name: sheet.chip,
          workload: sheet.workload,
          runs,
          demandW: demand?.isKnown ? demand.atW : null,
          possibleDemandW: demand?.atW ?? null,
          idleW: firstIdleOf(group.flatMap(({ test }) => test.read ?? [])),
        })
  const parts = group.map(({ test }, k) => partsOf(test, scored[k]!.scores, heat.measured))
  const paces = parts.map(({ all }) => paceOf(all, sheet.workload))
  const ofChip = fit?.warnings ?? []
  const known = { demandW: fit?.chip.demandW ?? null, paces: paces.flatMap((pace) => pace ?? []) }
  let from = 0
  return group.map(({ test }, index) => {
    const { scores, warnings } = scored[index]!
    const to = from + scores.length
    const ofRuns = ofChip.filter((each) => isOfRun(each) && each.run >= from && each.run < to)
    from = to
    const { all, steady } = parts[index]!
    const { task, metric, isFirst, isOneOfSeveral, mode } = test.of
    return [
      test,
      {
        ...{ task, metric, isFirst, isOneOfSeveral, mode },
        workload: test.of.sheet.workload,
        ...{ all, steady },
        scatter:
          fit?.scatter ??
          scoreScatter(
            all.scores.map((score) => rateFromScore(sheet.workload, score)),
            all.counts,
          ),
        chip: scores.length === 0 ? null : (fit?.chip ?? null),
        heldBy: heldInTest(labelled[index]?.label ?? null, paces[index]!, known),
        warnings: [...(test.read?.warnings ?? []), ...warnings, ...ofRuns],
        chipWarnings: index === 0 ? ofChip.filter((each) => !isOfRun(each)) : [],
      },
    ]
  })
}

function labelledTest({ machine, test: { of, read } }: TestOfMachine): LabelledTest | null {
  if (read === null) return null
  const sameMode = machine.tests.flatMap((test) => (test.of.mode === of.mode ? (test.read ?? []) : []))
  return { read, label: labelByMachine(read, sameMode) }
}

function paceOf(part: ScoredPart, workload: Workload): TestPace | null {
  return part.power === null
    ? null
    : { meanW: part.power.profile.meanW, rate: rateFromScore(workload, meanScore(part)) }
}

/** A run off the curve is one of its own test. */
function isOfRun(warning: Warning): warning is Extract<Warning, { readonly code: 'run-off-curve' }> {
  return warning.code === 'run-off-curve'
}

/** Power between the loads of the first test that shows it, W. */
function firstIdleOf(tests: readonly ReadTest[]): number | null {
  for (const test of tests) {
    const idleW = idleOf(test)
    if (idleW !== null) return idleW
  }
  return null
}

const noScores = { scores: [] as readonly PlacedScore[], warnings: [] as readonly Warning[] }

function partsOf(
  { of, read }: ReadReviewTest,
  placed: readonly PlacedScore[],
  isWarmthKnown: boolean,
): Pick<ReviewedTest, 'all' | 'steady'> {
  const runs = placed.map(({ run }) => run)
  const settled = read === null ? [] : steadyRuns(read)
  const steady = runs.filter((run) =>
    settled.some((one) => one.startS === run.startS && one.score === run.score),
  )
  return {
    all: { ...scoresOf([...runs, ...of.alone]), power: powerOf(runs, isWarmthKnown) },
    steady: steady.length === 0 ? null : { ...scoresOf(steady), power: powerOf(steady, isWarmthKnown) },
  }
}

interface CountedScore {
  readonly score: number
  readonly of?: number
}

function scoresOf(runs: readonly CountedScore[]): Pick<ScoredPart, 'scores' | 'counts'> {
  const scores = runs.map(({ score }) => score)
  return runs.every(({ of }) => of === undefined)
    ? { scores }
    : { scores, counts: runs.map(({ of = 1 }) => of) }
}

function powerOf(
  runs: readonly { readonly of?: number; readonly profile: PowerProfile }[],
  isWarmthKnown: boolean,
): ScoredPower | null {
  if (runs.length === 0) return null
  const lengthOf = ({ profile }: { readonly profile: PowerProfile }) =>
    profile.secondsS.reduce((sum, seconds) => sum + seconds, 0)
  // Each run counts alike, as it does in the mean of the scores.
  const secondsS = runs.flatMap((run) =>
    run.profile.secondsS.map((seconds) => ((run.of ?? 1) * seconds) / lengthOf(run)),
  )
  const total = runs.reduce((sum, { of = 1 }) => sum + of, 0)
  const meanOf = (values: readonly number[]) =>
    values.reduce((sum, value, k) => sum + (runs[k]!.of ?? 1) * value, 0) / total
  return {
    profile: {
      powersW: runs.flatMap((run) => run.profile.powersW),
      secondsS,
      meanW: meanOf(runs.map((run) => run.profile.meanW)),
    },
    meanC: isWarmthKnown ? meanOf(runs.map(({ profile }) => profile.meanC!)) : null,
  }
}
