import { checkFile } from '../../../audit/checkFile.js'
import { isUnsafe } from '../../../audit/finding.js'
import { readStages } from '../../../machine/readStages.js'
import type { ToldWarning } from '../../output/answerDocument.js'
import { answerDocument, jsonLine } from '../../output/answerDocument.js'
import { stagesDocument } from '../../output/stagesDocument.js'
import type { ArchiveAnswer, ArchiveCommand, ArchiveRows, ArchiveTask } from './archiveTask.js'
import { failedTask } from './failedTask.js'

interface Worked<C extends ArchiveCommand> {
  readonly row: ArchiveRows[C]
  readonly warnings: readonly ToldWarning[]
  readonly fields: () => object
  readonly status?: 0 | 3
}

/**
 * Does one task: reads its files, runs the command's library function and hands back the document or the row. Never
 * rejects. It depends on nothing but the task and the files, so it may run in any thread, in any order, on any machine.
 */
export async function answerTask<C extends ArchiveCommand>(task: ArchiveTask<C>): Promise<ArchiveAnswer<C>> {
  const { paths, wants, version, command } = task
  try {
    const { row, warnings, fields, status = 0 } = await workOf(task)
    const document =
      wants === 'row' ? '' : jsonLine(answerDocument({ command, version, warnings, fields: fields() }))
    return { kind: 'done', paths, document, row: wants === 'row' ? row : undefined, status }
  } catch (error) {
    return failedTask(paths, error, task.debug)
  }
}

/** The work of each command. Fits load their part when they are asked for: who looks at stages needs no sheets. */
async function workOf<C extends ArchiveCommand>(task: ArchiveTask<C>): Promise<Worked<C>> {
  const works: { readonly [K in ArchiveCommand]: (task: ArchiveTask) => Promise<Worked<K>> } = {
    stages: workStages,
    check: workCheck,
    fit: async ({ paths }) => (await import('./workFit.js')).workFit(paths),
    survey: async (task) => (await import('./workFit.js')).workSurvey(task),
  }
  return works[task.command](task)
}

async function workStages({ paths, options }: ArchiveTask): Promise<Worked<'stages'>> {
  const path = paths[0]!
  const { log, loads, numbers, warnings } = await readStages(path, options)
  return {
    row: { path, loads, warnings },
    warnings,
    fields: () => stagesDocument({ path, log, loads, numbers }),
  }
}

async function workCheck({ paths, options }: ArchiveTask): Promise<Worked<'check'>> {
  const row = await checkFile(paths[0]!, options)
  const { path, findings } = row
  return {
    row,
    warnings: [],
    fields: () => ({ files: [{ path, findings }] }),
    status: findings.some(isUnsafe) ? 3 : 0,
  }
}
