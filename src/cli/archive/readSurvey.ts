import {
  type SurveyGroup,
  surveyMachines,
  type WorkloadSurvey,
} from '../../predict/comparison/surveyMachines.js'
import type { Context } from '../context.js'
import { about, type ToldWarning } from '../output/answerDocument.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { archiveTasks, SHEET_ENDINGS } from './archiveTasks.js'
import { groupSheets } from './groupSheets.js'
import type { FailedTask } from './workers/archiveTask.js'

/** A survey with what gave nothing. */
export interface ReadSurvey {
  readonly workloads: readonly WorkloadSurvey[]
  readonly failed: readonly { readonly path: string; readonly error: FailedTask['error'] }[]
  readonly warnings: readonly ToldWarning[]
}

/**
 * Reads and fits the machines of an archive, those of one chip and workload together, side by side in worker threads. A
 * sheet that gives no machine is reported, and told in `failed`; the exit status is then 2.
 */
export async function readSurvey(
  words: readonly string[],
  options: ArchiveOptions & { readonly at?: number },
  context: Context,
): Promise<ReadSurvey> {
  const source = { command: 'survey', words, options, endings: SHEET_ENDINGS }
  const found = await archiveTasks(source, context)
  const paths: string[] = []
  for await (const task of found.tasks) paths.push(...task)
  const groups = await groupSheets(paths, { modesApart: true })
  const tasks = { ...found, tasks: groups.map((group) => group.paths), total: groups.length }
  const request = { command: 'survey', wants: 'row', logOptions: {}, options } as const
  const fitted: SurveyGroup[] = []
  const failed: FailedTask[] = []
  const warnings: ToldWarning[] = []
  for await (const answer of archiveAnswers(tasks, request, context)) {
    if (answer.kind === 'failed') {
      failed.push(answer)
      continue
    }
    const { chip, machines, warnings: told, failed: without } = answer.row!
    const { first } = groups.find((group) => group.paths[0] === answer.paths[0])!
    if (machines.length > 0) fitted.push({ name: first!.chip, workload: first!.workload, chip, machines })
    if (machines.length > 0) warnings.push(...about(first!.chip, told))
    for (const each of without) context.writeErr(each.said)
    failed.push(...without)
  }
  if (failed.length > 0) context.setExit(failed.some(({ status }) => status === 1) ? 1 : 2)
  return {
    workloads: surveyMachines(fitted, options.at),
    failed: failed.map(({ paths: [path], error }) => ({ path: path!, error })),
    warnings,
  }
}
