import type { Context } from '../context.js'
import { answerDocument, jsonText } from '../output/answerDocument.js'
import { answerLine } from './answerLine.js'
import { archiveAnswers } from './archiveAnswers.js'
import type { ArchiveRequest } from './archiveRequest.js'
import type { ArchiveTasks } from './archiveTasks.js'

/**
 * Prints one JSON document about many files: `files`, each with its `path` and either the fields of the command's document or
 * an `error`.
 */
export async function printFiles(
  found: ArchiveTasks,
  request: ArchiveRequest,
  context: Context,
): Promise<void> {
  const { command } = request
  const { version } = context
  const files: object[] = []
  for await (const answer of archiveAnswers(found, { ...request, wants: 'document' }, context)) {
    const {
      tool: _,
      version: __,
      command: ___,
      ...fields
    } = JSON.parse(answerLine(answer, { command, version }))
    files.push(fields)
  }
  context.writeOut(`${jsonText(answerDocument({ command, version, warnings: [], fields: { files } }))}\n`)
}
