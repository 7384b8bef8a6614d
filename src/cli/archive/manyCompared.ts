import { InputError } from '../../errors.js'
import { readSubject, type Subject } from '../../machine/readSubject.js'
import type { TestSheet } from '../../sheet/testSheet.js'
import type { Context } from '../context.js'
import {
  type ComparedMachines,
  comparedMachines,
  type FittedForComparison,
  fittedForComparison,
} from '../options/comparedMachines.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveOptions } from './archiveOptions.js'
import { archiveTasks, SHEET_ENDINGS } from './archiveTasks.js'
import type { FailedTask } from './workers/archiveTask.js'
import { failedTask } from './workers/failedTask.js'
import { inOrder } from './workers/inOrder.js'

/** What many sheets give to compare, and which of them gave nothing. */
export interface ManyCompared extends ComparedMachines {
  readonly failed: readonly { readonly path: string; readonly error: FailedTask['error'] }[]
}

const OPEN_AT_ONCE = 16

/**
 * The chips of many sheets, fitted side by side. A sheet of a folder, a pattern or a list that can't be read is reported and left
 * out; one that was named ends the comparison: a ratio of the wrong two would be worse than none.
 *
 * @throws InputError as `comparedMachines`
 */
export async function manyCompared(
  words: readonly string[],
  options: ArchiveOptions,
  context: Context,
): Promise<ManyCompared> {
  const { tasks, named, faults } = await archiveTasks(
    { command: 'compare', words, options, endings: SHEET_ENDINGS },
    context,
  )
  const failed = faults.map((fault) => failedTask([fault.details.where?.file ?? ''], fault, false))
  const subjects: Subject[] = []
  for await (const read of inOrder(tasks, ([path]) => trySubject(path!), OPEN_AT_ONCE)) {
    if ('subject' in read) subjects.push(read.subject)
    else if (named || !(read.error instanceof InputError)) throw read.error
    else failed.push(failedTask([read.path], read.error, false))
  }
  for (const failure of failed) context.writeErr(failure.said)
  const fitThere = async (groups: readonly (readonly TestSheet[])[]) => {
    const fits = await fitInWorkers(groups, options, context)
    return fits.map((fit) => {
      if ('machines' in fit) return fit
      if (named) throw inputError(fit)
      failed.push(fit)
      return undefined
    })
  }
  const compared = await comparedMachines(subjects, fitThere)
  if (failed.length > 0) context.setExit(2)
  return { ...compared, failed: failed.map(({ paths, error }) => ({ path: paths[0]!, error })) }
}

async function trySubject(path: string) {
  try {
    return { subject: await readSubject(path) }
  } catch (error) {
    return { path, error }
  }
}

async function fitInWorkers(
  groups: readonly (readonly TestSheet[])[],
  options: ArchiveOptions,
  context: Context,
): Promise<readonly (FittedForComparison | FailedTask)[]> {
  const tasks = groups.map((sheets) => sheets.map((sheet) => sheet.file))
  const found = { tasks, total: tasks.length, named: true, faults: [] }
  const request = { command: 'fit', wants: 'row', logOptions: {}, options } as const
  const fits: (FittedForComparison | FailedTask)[] = []
  for await (const answer of archiveAnswers(found, request, context)) {
    fits.push(answer.kind === 'failed' ? answer : fittedForComparison(answer.row!))
  }
  return fits
}

/** The error as it was before it came from another thread. */
function inputError({ error }: FailedTask): Error {
  const { code, message, file, line, remedy } = error
  if (code === 'tool-fault') return new Error(message)
  return new InputError(code, message, {
    where: { ...(file === null ? {} : { file }), ...(line === null ? {} : { line }) },
    ...(remedy === null ? {} : { remedy }),
  })
}
