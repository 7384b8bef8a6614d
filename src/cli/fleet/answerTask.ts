import { checkFile } from '../../machine/audit/checkFile.js'
import { isUnsafe } from '../../machine/audit/finding.js'
import { readStages } from '../../machine/readStages.js'
import { answerDocument, jsonLine } from '../answerDocument.js'
import { stagesDocument } from '../stagesDocument.js'
import type { ToldWarning } from '../toldWarning.js'
import { failedTask } from './failedTask.js'
import type { FleetAnswer, FleetCommand, FleetRows, FleetTask } from './fleetTask.js'

interface Worked<C extends FleetCommand> {
  readonly row: FleetRows[C]
  readonly warnings: readonly ToldWarning[]
  readonly fields: () => object
  readonly status?: 0 | 3
}

/**
 * Does one task: reads its files, runs the command's library function and hands back the document or the row. Never
 * rejects. It depends on nothing but the task and the files, so it may run in any thread, in any order, on any machine.
 */
export async function answerTask<C extends FleetCommand>(task: FleetTask<C>): Promise<FleetAnswer<C>> {
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
async function workOf<C extends FleetCommand>(task: FleetTask<C>): Promise<Worked<C>> {
  const works: { readonly [K in FleetCommand]: (task: FleetTask) => Promise<Worked<K>> } = {
    stages: workStages,
    check: workCheck,
    fit: async ({ paths }) => (await import('./workFit.js')).workFit(paths),
    survey: async (task) => (await import('./workFit.js')).workSurvey(task),
  }
  return works[task.command](task)
}

async function workStages({ paths, options }: FleetTask): Promise<Worked<'stages'>> {
  const path = paths[0]!
  const { log, loads, warnings } = await readStages(path, options)
  return { row: { path, loads, warnings }, warnings, fields: () => stagesDocument({ path, log, loads }) }
}

async function workCheck({ paths, options }: FleetTask): Promise<Worked<'check'>> {
  const row = await checkFile(paths[0]!, options)
  const { path, findings } = row
  return {
    row,
    warnings: [],
    fields: () => ({ files: [{ path, findings }] }),
    status: findings.some(isUnsafe) ? 3 : 0,
  }
}
