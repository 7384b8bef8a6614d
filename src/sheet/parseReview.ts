import { InputError } from '../errors.js'
import { buildReview } from './buildReview.js'
import { buildTrial } from './buildTrial.js'
import { parseYamlTree, type YamlTree } from './parseYamlTree.js'
import type { ReviewSheet, SheetTest } from './reviewSheet.js'
import { firstWithOthers, sayIssues } from './sheetIssues.js'
import { reviewSchema, sheetSchema } from './sheetSchema.js'
import type { TestSheet } from './testSheet.js'

/**
 * Reads a YAML test sheet with all of its workloads (section 2 of cli/README.md).
 *
 * @param text - YAML
 * @param file - the sheet's path, for messages and for finding its logs
 * @returns one test a workload, power mode and metric
 * @throws InputError `sheet-…` with file, line and column, what was expected, what it got and what to do; when several
 *   values are wrong, the others are in `details.others`
 * @example parseReview(text, 'heron.yaml').tests.map((test) => test.task)
 */
export function parseReview(text: string, file: string): ReviewSheet {
  return asReview(readTree(text, file))
}

/** A schema that is asked once is not worth a function of its own, written and compiled for it. */
const ONCE = { jitless: true }

/** A sheet of one workload as a review, with a test for each of its power modes; a review as it is. */
export function asReview(read: TestSheet | ReviewSheet): ReviewSheet {
  return 'tests' in read ? read : reviewOf(read)
}

/**
 * The sheet as it is written: of one workload, whatever its modes, or of many.
 *
 * @throws InputError as `parseReview`
 */
export function readTree(text: string, file: string): TestSheet | ReviewSheet {
  const tree = parseYamlTree(text, file)
  if (typeof tree.value === 'string' || Array.isArray(tree.value)) {
    throw new InputError(
      'sheet-not-a-sheet',
      'a test sheet begins with keys such as `machine:` and `chip:`',
      {
        where: tree.locate([]),
        remedy: 'give a YAML test sheet; a log alone is read by `holdwatt stages` and `holdwatt check`',
      },
    )
  }
  return 'workloads' in tree.value ? manyWorkloads(tree, file) : oneWorkload(tree, file)
}

function manyWorkloads(tree: YamlTree, file: string): ReviewSheet {
  const metrics = metricsNamed(tree)
  const parsed = reviewSchema(metrics).safeParse(tree.value, ONCE)
  if (!parsed.success) throw firstWithOthers(sayIssues(parsed.error.issues, tree, metrics))
  return buildReview(parsed.data, tree, file)
}

/** Names of all metrics that the workloads of a sheet have, before anything of it is checked: they are keys of its runs. */
function metricsNamed({ value }: YamlTree): readonly string[] {
  const workloads = typeof value === 'object' && 'workloads' in value ? value.workloads : undefined
  const names = new Set(['score'])
  for (const workload of Array.isArray(workloads) ? workloads : []) {
    const metrics: unknown = typeof workload === 'object' && workload !== null ? workload.metrics : undefined
    if (typeof metrics !== 'object' || metrics === null || Array.isArray(metrics)) continue
    for (const name of Object.keys(metrics)) names.add(name)
  }
  return [...names]
}

function oneWorkload(tree: YamlTree, file: string): TestSheet {
  const parsed = sheetSchema.safeParse(tree.value, ONCE)
  if (!parsed.success) throw firstWithOthers(sayIssues(parsed.error.issues, tree, ['score']))
  const { machine, chip, chassis, ambient, workload, trials } = parsed.data
  const faults: InputError[] = []
  const built = trials.flatMap((raw, index) => {
    try {
      const locate = (path: readonly PropertyKey[]) => tree.locate(['trials', index, ...path])
      return [buildTrial(raw, { workload, metric: 'score', locate })]
    } catch (error) {
      if (!(error instanceof InputError)) throw error
      faults.push(error)
      return []
    }
  })
  if (faults.length > 0) throw firstWithOthers(faults)
  return {
    file,
    machine,
    chip,
    chassis,
    ambientC: ambient ?? null,
    workload,
    workloadAt: tree.locate(['workload', 'score']),
    trials: built,
  }
}

function reviewOf(sheet: TestSheet): ReviewSheet {
  const { file, machine, chip, chassis } = sheet
  const modes = [...new Set(sheet.trials.map((trial) => trial.mode))]
  const tests = modes.map((mode): SheetTest => {
    const trials = sheet.trials.filter((trial) => trial.mode === mode)
    return {
      task: sheet.workload.name,
      metric: sheet.workload.score,
      isFirst: true,
      isOneOfSeveral: false,
      mode,
      sheet: { ...sheet, trials },
      alone: [],
    }
  })
  return { file, machine, chip, chassis, tests }
}
