import type { Context, ExitStatus } from '../context.js'
import { showProgress } from '../showProgress.js'
import { failedTask } from './failedTask.js'
import { chooseJobs } from './fleetOptions.js'
import type { FleetRequest } from './fleetRequest.js'
import type { FleetAnswer, FleetCommand } from './fleetTask.js'
import type { FleetTasks } from './fleetTasks.js'
import { inOrder } from './inOrder.js'
import { openWorkers } from './openWorkers.js'

/** Tasks begun for each worker: enough that none waits while a slow one before it is being done. */
const BEGUN_PER_JOB = 4

/**
 * Does tasks in workers and gives their answers in order. What fails is told on stderr at once and the rest goes on; the exit
 * status is the gravest of all: 1 a fault of the tool, then 2 bad input, then 3 something unsafe.
 */
export async function* fleetAnswers<C extends FleetCommand>(
  found: FleetTasks,
  request: FleetRequest<C> & { readonly wants: 'document' | 'row' },
  context: Context,
): AsyncGenerator<FleetAnswer<C>> {
  const { command, wants, logOptions, options } = request
  const jobs = chooseJobs(options, found.total)
  // A single task has no others to go on with: it needs no thread.
  const workers = await openWorkers(jobs, found.total === 1 ? undefined : context.workerFile)
  // Lines on the same terminal show progress by themselves, and a bar would be written over.
  const hidden = options.jsonLines === true && context.stdoutIsTerminal
  const progress = showProgress(
    hidden ? { ...context, stderrIsTerminal: false } : context,
    command,
    found.total,
  )
  const head = { command, options: logOptions, wants, version: context.version, debug: isDebugging(context) }
  const statuses = new Set<ExitStatus>()
  let done = 0
  const finish = (answer: FleetAnswer<C>) => {
    statuses.add(answer.status)
    if (answer.kind === 'failed') progress.tell(answer.said)
    return answer
  }
  try {
    for (const fault of found.faults)
      yield finish(failedTask([fault.details.where?.file ?? ''], fault, head.debug))
    const answers = inOrder(found.tasks, (paths) => workers.run({ ...head, paths }), jobs * BEGUN_PER_JOB)
    for await (const answer of answers) {
      done += 1
      progress.update(done)
      yield finish(answer)
    }
  } finally {
    progress.stop()
    await workers.close()
  }
  context.setExit(([1, 2, 3] as const).find((status) => statuses.has(status)) ?? 0)
}

function isDebugging({ env }: Context): boolean {
  return env.HOLDWATT_DEBUG !== undefined && env.HOLDWATT_DEBUG !== ''
}
