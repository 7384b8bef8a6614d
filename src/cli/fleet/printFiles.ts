import { answerDocument, jsonText } from '../answerDocument.js'
import type { Context } from '../context.js'
import { answerLine } from './answerLine.js'
import { fleetAnswers } from './fleetAnswers.js'
import type { FleetRequest } from './fleetRequest.js'
import type { FleetTasks } from './fleetTasks.js'

/**
 * Prints one JSON document about many files: `files`, each with its `path` and either the fields of the command's document or
 * an `error`.
 */
export async function printFiles(found: FleetTasks, request: FleetRequest, context: Context): Promise<void> {
  const { command } = request
  const { version } = context
  const files: object[] = []
  for await (const answer of fleetAnswers(found, { ...request, wants: 'document' }, context)) {
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
