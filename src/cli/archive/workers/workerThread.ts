import { Worker } from 'node:worker_threads'
import { InputError } from '../../../errors.js'

const SECOND_MS = 1000

/**
 * A thread that does one task at a time. Whatever becomes of the thread, the task that it is at comes to an end: with the
 * thread's answer, or with what ended the thread.
 */
export class WorkerThread<Task, Answer> {
  /** Whether it can take another task. */
  isAlive = true
  /** Whether it has not begun any task. */
  isFresh = true
  /** Whether it was ended since its task did not. */
  isHung = false
  private readonly worker: Worker
  private ending:
    | { readonly resolve: (answer: Answer) => void; readonly reject: (error: unknown) => void }
    | undefined
  private watch: NodeJS.Timeout | undefined

  /** @param file - a module that answers each message with one */
  constructor(file: string) {
    this.worker = new Worker(file)
    this.worker.on('message', (answer: Answer) => this.end((ending) => ending.resolve(answer)))
    this.worker.on('error', (error) => this.die(deathOf(error)))
    this.worker.on('exit', (status) =>
      this.die(new Error(`the worker thread ended over this file (status ${status})`)),
    )
  }

  /**
   * @param patienceS - seconds after which the task is given up and the thread ended. Counted while this process runs: those
   *   in which the machine sleeps or the process is stopped are not.
   * @throws what ended the thread
   */
  run(task: Task, patienceS: number): Promise<Answer> {
    return new Promise((resolve, reject) => {
      this.isFresh = false
      this.ending = { resolve, reject }
      let waitedS = 0
      this.watch = setInterval(() => {
        waitedS += 1
        if (waitedS < patienceS) return
        this.isHung = true
        this.die(new Error(`no end within ${Math.ceil(patienceS / 60)} min, so this file was given up`))
        void this.close()
      }, SECOND_MS)
      this.worker.postMessage(task)
    })
  }

  /** Ends the thread, whatever it is at. */
  async close(): Promise<void> {
    this.isAlive = false
    await this.worker.terminate()
  }

  private die(error: Error): void {
    this.isAlive = false
    this.end((ending) => ending.reject(error))
  }

  private end(tell: (ending: NonNullable<typeof this.ending>) => void): void {
    clearInterval(this.watch)
    const ending = this.ending
    this.ending = undefined
    if (ending !== undefined) tell(ending)
  }
}

/** What a thread died of; memory is the user's to give. */
function deathOf(error: Error): Error {
  if (!('code' in error) || error.code !== 'ERR_WORKER_OUT_OF_MEMORY') return error
  return new InputError('memory-exhausted', 'this file needs more memory than a worker may have', {
    remedy: 'work on it alone, or allow more, e.g. NODE_OPTIONS=--max-old-space-size=8000 (MB)',
  })
}
