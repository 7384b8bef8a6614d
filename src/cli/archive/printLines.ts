import type { Context } from '../context.js'
import { answerLine } from './answerLine.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveRequest } from './archiveRequest.js'
import type { ArchiveTasks } from './archiveTasks.js'

/** Prints the answer to each task on a line as its turn comes, no faster than whoever reads them. */
export async function printLines(
  found: ArchiveTasks,
  request: ArchiveRequest,
  context: Context,
): Promise<void> {
  const head = { command: request.command, version: context.version }
  for await (const answer of archiveAnswers(found, { ...request, wants: 'document' }, context)) {
    context.writeOut(answerLine(answer, head))
    await context.outDrained?.()
  }
}
