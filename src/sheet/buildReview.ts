import { InputError } from '../errors.js'
import { plainText } from '../log/table/plainText.js'
import type { Workload } from '../physics/chip/chip.js'
import { buildTrial } from './buildTrial.js'
import { meanOf } from './meanOf.js'
import { parseScore } from './parseScore.js'
import type { YamlTree } from './parseYamlTree.js'
import type { LoneScore, ReviewSheet, SheetTest } from './reviewSheet.js'
import { firstWithOthers, nearestKey } from './sheetIssues.js'
import type { RawReview, RawWorkload } from './sheetSchema.js'
import type { Trial } from './testSheet.js'
import { type Locate, type Measure, workloadMeasures } from './workloadMeasures.js'

/**
 * Makes the tests of a sheet of many workloads from its checked keys: one a workload, power mode and metric.
 *
 * @throws InputError `workload-…`, `metric-…`, and those of `buildTrial`, at the line of the value
 */
export function buildReview(raw: RawReview, tree: YamlTree, file: string): ReviewSheet {
  const faults = new FaultList()
  const measures = raw.workloads.flatMap((workload, index) =>
    faults.collect(() => workloadMeasures(workload, (path) => tree.locate(['workloads', index, ...path]))),
  )
  refuseRepeats(raw.workloads, tree)
  const placed = raw.trials.flatMap((trial, index): readonly PlacedTrial[] => {
    const locate = (path: readonly PropertyKey[]) => tree.locate(['trials', index, ...path])
    return faults.collect(() => {
      const task = taskOf(trial, raw.workloads, locate)
      const ambientC = trial.ambient ?? raw.ambient ?? null
      const own = measures.filter((measure) => measure.task === task)
      requireMetrics(trial, own, locate)
      return own.flatMap((measure): PlacedTrial[] => {
        // A column of the pace is that of the first metric.
        if (trial.rate !== undefined && measure !== own[0]) return []
        const where = { measure, mode: trial.mode ?? null, ambientC }
        const context = { workload: measure.workload, metric: measure.key, locate }
        if (trial.log === undefined && trial.noted === undefined) {
          return [{ ...where, alone: loneScores(trial, context) }]
        }
        return [{ ...where, trial: buildTrial(trial, context) }]
      })
    })
  })
  if (faults.list.length > 0) throw firstWithOthers(faults.list)
  const { machine, chip, chassis } = raw
  const head = { file, machine, chip, chassis }
  return { ...head, tests: testsOf(measures, placed).map((test) => sheetTest(test, head)) }
}

interface PlacedTrial {
  readonly measure: Measure
  readonly mode: string | null
  readonly ambientC: number | null
  readonly trial?: Trial
  readonly alone?: readonly LoneScore[]
}

function refuseRepeats(workloads: readonly RawWorkload[], tree: YamlTree): void {
  workloads.forEach(({ name }, index) => {
    if (workloads.findIndex((other) => isNamed(other.name, name)) === index) return
    throw new InputError(
      'workload-repeated',
      `the workload \`${plainText(name)}\` stands twice in the list`,
      {
        where: tree.locate(['workloads', index, 'name']),
        remedy: 'keep one of the two: trials name the workload that they ran',
      },
    )
  })
}

function isNamed(name: string, asked: string): boolean {
  return name.toLowerCase() === asked.toLowerCase()
}

function taskOf(
  { workload }: RawReview['trials'][number],
  workloads: readonly RawWorkload[],
  locate: Locate,
): string {
  const known = workloads.map(({ name }) => name)
  if (workload === undefined && known.length === 1) return known[0]!
  const found = known.find((name) => workload !== undefined && isNamed(name, workload))
  if (found !== undefined) return found
  const listed = known.map((name) => `\`${plainText(name)}\``).join(', ')
  const nearest = workload === undefined ? undefined : nearestKey(workload, known)
  throw new InputError(
    'workload-unknown',
    workload === undefined
      ? 'a trial of a sheet with several workloads says which it ran'
      : `the workload \`${plainText(workload)}\` is not in the list`,
    {
      where: locate(workload === undefined ? [] : ['workload']),
      remedy: `${nearest === undefined ? '' : `was \`${plainText(nearest)}\` meant? `}Known here: ${listed}`,
    },
  )
}

/** Every value of a run is of a metric that its workload has, and every run has one. */
function requireMetrics(
  { runs }: RawReview['trials'][number],
  own: readonly Measure[],
  locate: Locate,
): void {
  if (!Array.isArray(runs)) return
  const known = own.map(({ key }) => key)
  runs.forEach(({ scores }, index) => {
    const given = Object.keys(scores).filter((key) => scores[key] !== undefined)
    const strange = given.find((key) => !known.includes(key))
    if (strange === undefined && given.length > 0) return
    const listed = known.map((key) => `\`${key}\``).join(', ')
    throw new InputError(
      strange === undefined ? 'run-without-score' : 'metric-unknown',
      strange === undefined
        ? 'a run needs a score, this has none'
        : `\`${plainText(strange)}\` is no metric of the workload that this trial ran`,
      {
        where: locate(['runs', index, ...(strange === undefined ? [] : [strange])]),
        remedy: `known here: ${listed}`,
      },
    )
  })
}

/** Scores of a trial without a log or noted levels: they are told as tested, and nothing is concluded from them. */
function loneScores(
  { runs }: RawReview['trials'][number],
  {
    workload,
    metric,
    locate,
  }: { readonly workload: Workload; readonly metric: string; readonly locate: Locate },
): readonly LoneScore[] {
  if (!Array.isArray(runs) || runs.length === 0) {
    throw new InputError(
      'trial-without-power',
      'a trial needs a `log`, levels `noted` by hand, or at least scores listed under `runs`; this has none',
      { where: locate([]), remedy: 'add `log: FILE.csv`, or `runs:` with the scores' },
    )
  }
  return runs.flatMap(({ scores, of }, index) => {
    const text = scores[metric]
    const at = locate(['runs', index, metric])
    if (text === undefined) return []
    try {
      return [{ score: parseScore(text, workload), ...meanOf(of), at }]
    } catch (error) {
      throw error instanceof InputError ? error.at(at) : error
    }
  })
}

interface GroupedTest {
  readonly measure: Measure
  readonly mode: string | null
  readonly placed: readonly PlacedTrial[]
}

/** Trials of one workload, mode and metric together: in the order of workloads, then of modes, then of metrics. */
function testsOf(measures: readonly Measure[], placed: readonly PlacedTrial[]): readonly GroupedTest[] {
  const modes = [...new Set(placed.map(({ mode }) => mode))]
  const tasks = [...new Set(measures.map(({ task }) => task))]
  return tasks.flatMap((task) =>
    modes.flatMap((mode) =>
      measures.flatMap((measure): GroupedTest[] => {
        if (measure.task !== task) return []
        const own = placed.filter((trial) => trial.measure === measure && trial.mode === mode)
        return own.length === 0 ? [] : [{ measure, mode, placed: own }]
      }),
    ),
  )
}

function sheetTest({ measure, mode, placed }: GroupedTest, head: Omit<ReviewSheet, 'tests'>): SheetTest {
  const { task, metric, isFirst, isOneOfSeveral, workload, fixed } = measure
  return {
    task,
    metric,
    isFirst,
    isOneOfSeveral,
    mode,
    sheet: {
      ...head,
      ambientC: placed.find(({ ambientC }) => ambientC !== null)?.ambientC ?? null,
      workload,
      task,
      fixed,
      workloadAt: measure.at,
      trials: placed.flatMap(({ trial }) => trial ?? []),
    },
    alone: placed.flatMap(({ alone }) => alone ?? []),
  }
}

/** Faults of many parts, so that all are told at once. */
class FaultList {
  readonly list: InputError[] = []

  collect<Part>(make: () => readonly Part[]): readonly Part[] {
    try {
      return make()
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      this.list.push(error)
      return []
    }
  }
}
