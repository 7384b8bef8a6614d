import type { Context } from '../context.js'
import { answerLine } from './answerLine.js'
import { fleetAnswers } from './fleetAnswers.js'
import type { FleetRequest } from './fleetRequest.js'
import type { FleetTasks } from './fleetTasks.js'

/** Prints the answer to each task on a line as its turn comes, no faster than whoever reads them. */
export async function printLines(found: FleetTasks, request: FleetRequest, context: Context): Promise<void> {
  const head = { command: request.command, version: context.version }
  for await (const answer of fleetAnswers(found, { ...request, wants: 'document' }, context)) {
    context.writeOut(answerLine(answer, head))
    await context.outDrained?.()
  }
}
