import { failedTask } from './failedTask.js'
import type { FleetAnswer, FleetCommand, FleetTask } from './fleetTask.js'

/** Something that does tasks, and is put away in the end. */
export interface Workers {
  readonly run: <C extends FleetCommand>(task: FleetTask<C>) => Promise<FleetAnswer<C>>
  readonly close: () => Promise<void>
}

/**
 * Opens worker threads; with one job, or where there is no file for threads to start from, tasks are done in this thread,
 * which needs least memory and start-up.
 *
 * A thread that dies over a task (memory, say) fails that task alone; another takes its place.
 *
 * @param workerFile - the built module of `answerTask`
 */
export async function openWorkers(jobs: number, workerFile: string | undefined): Promise<Workers> {
  if (jobs <= 1 || workerFile === undefined) {
    const { answerTask } = await import('./answerTask.js')
    return { run: answerTask, close: async () => {} }
  }
  const { Tinypool } = await import('tinypool')
  const pool = new Tinypool({ filename: workerFile, name: 'answerTask', minThreads: jobs, maxThreads: jobs })
  return {
    run: async <C extends FleetCommand>(task: FleetTask<C>) => {
      try {
        return (await pool.run(task)) as FleetAnswer<C>
      } catch (error) {
        return failedTask(task.paths, error, task.debug)
      }
    },
    close: () => pool.destroy(),
  }
}
