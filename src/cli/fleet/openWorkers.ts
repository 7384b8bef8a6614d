import { failedTask } from './failedTask.js'
import type { FleetAnswer, FleetCommand, FleetTask } from './fleetTask.js'
import { readPatience } from './readPatience.js'
import { ThreadPool } from './threadPool.js'

/** Something that does tasks, and is put away in the end. */
export interface Workers {
  readonly run: <C extends FleetCommand>(task: FleetTask<C>) => Promise<FleetAnswer<C>>
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
  patience: (paths: readonly string[]) => Promise<number> = readPatience,
): Promise<Workers> {
  if (workerFile === undefined) {
    const { answerTask } = await import('./answerTask.js')
    return { run: answerTask, close: async () => {} }
  }
  const threads = new ThreadPool<FleetTask, FleetAnswer>(jobs, workerFile)
  return {
    run: async <C extends FleetCommand>(task: FleetTask<C>) => {
      try {
        return (await threads.run(task, await patience(task.paths))) as FleetAnswer<C>
      } catch (error) {
        return failedTask(task.paths, error, task.debug)
      }
    },
    close: () => threads.close(),
  }
}
