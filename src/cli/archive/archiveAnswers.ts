import { heldOpen, isHeldOpen } from '../../files/readInput.js'
import type { Context, ExitStatus } from '../context.js'
import { showProgress } from '../output/showProgress.js'
import { chooseJobs } from './archiveOptions.js'
import type { ArchiveRequest } from './archiveRequest.js'
import type { ArchiveTasks } from './archiveTasks.js'
import type { ArchiveAnswer, ArchiveCommand, ArchiveTask } from './workers/archiveTask.js'
import { failedTask } from './workers/failedTask.js'
import { inOrder } from './workers/inOrder.js'
import { readTaskTimeout } from './workers/readTaskTimeout.js'
import { ThreadPool } from './workers/threadPool.js'

/** Tasks begun for each worker: enough that none waits while a slow one before it is being done. */
const BEGUN_PER_JOB = 4

/**
 * Does tasks in workers and gives their answers in order. What fails is told on stderr at once and the rest goes on; the exit
 * status is the gravest of all: 1 a fault of the tool, then 2 bad input, then 3 something unsafe.
 */
export async function* archiveAnswers<C extends ArchiveCommand>(
  found: ArchiveTasks,
  request: ArchiveRequest<C> & { readonly wants: 'document' | 'row' },
  context: Context,
): AsyncGenerator<ArchiveAnswer<C>> {
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
  const finish = (answer: ArchiveAnswer<C>) => {
    statuses.add(answer.status)
    if (answer.kind === 'failed') progress.tell(answer.said)
    return answer
  }
  // Standard input may be the list itself, or shared by several lines: only the command line names a stream.
  const runTask = async (task: ArchiveTask<C>): Promise<ArchiveAnswer<C>> => {
    const held = options.fromList === undefined ? undefined : task.paths.find(isHeldOpen)
    return held === undefined ? workers.run(task) : failedTask(task.paths, heldOpen(held), task.debug)
  }
  try {
    for (const fault of found.faults)
      yield finish(failedTask([fault.details.where?.file ?? ''], fault, head.debug))
    const answers = inOrder(found.tasks, (paths) => runTask({ ...head, paths }), jobs * BEGUN_PER_JOB)
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

/** Something that does tasks, and is put away in the end. */
interface Workers {
  readonly run: <C extends ArchiveCommand>(task: ArchiveTask<C>) => Promise<ArchiveAnswer<C>>
  readonly close: () => Promise<void>
}

/**
 * Opens workers for a number of jobs: threads, so that a file over which one dies (memory, say) or that never ends fails alone, and
 * another takes its place. Where there is no file for threads to start from, tasks are done in this thread.
 *
 * @param workerFile - the built module of `answerTasks`
 * @param patience - seconds that a task on these files may take
 */
export async function openWorkers(
  jobs: number,
  workerFile: string | undefined,
  patience: (paths: readonly string[]) => Promise<number> = readTaskTimeout,
): Promise<Workers> {
  if (workerFile === undefined) {
    const { answerTask } = await import('./workers/answerTask.js')
    return { run: answerTask, close: async () => {} }
  }
  const threads = new ThreadPool<ArchiveTask, ArchiveAnswer>(jobs, workerFile)
  return {
    run: async <C extends ArchiveCommand>(task: ArchiveTask<C>) => {
      try {
        return (await threads.run(task, await patience(task.paths))) as ArchiveAnswer<C>
      } catch (error) {
        return failedTask(task.paths, error, task.debug)
      }
    },
    close: () => threads.close(),
  }
}
