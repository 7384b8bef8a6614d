import { setTimeout as delay } from 'node:timers/promises'
import { InputError } from '../../../errors.js'
import { WorkerThread } from './workerThread.js'

/** Threads that do tasks in the order in which they come. They are started as they are needed, and anew where one has died. */
export class ThreadPool<Task, Answer> {
  private readonly threads = new Set<WorkerThread<Task, Answer>>()
  private readonly idle: WorkerThread<Task, Answer>[] = []
  private isClosed = false
  private readonly waiting: ((thread: WorkerThread<Task, Answer>) => void)[] = []

  /** @param file - a module that answers each message with one */
  constructor(
    private most: number,
    private readonly file: string,
  ) {}

  /**
   * Does a task. Where the thread dies over it that had done others before, it is done once more in a fresh one: what becomes of a
   * task must not depend on what its thread still holds of others.
   *
   * Where the system has no room for one more thread, the pool makes do with those that it has.
   *
   * @throws what ended the thread, as `WorkerThread.run`; InputError `too-many-open` where there is no room for a single one
   */
  async run(task: Task, patienceS: number): Promise<Answer> {
    for (let tries = 1; ; tries++) {
      try {
        return await this.runOnce(task, patienceS)
      } catch (error) {
        if (!lacksRoom(error) || this.isClosed) throw error
        if (tries === MOST_TRIES) throw noRoom()
        // Threads that have just died hold what they had a moment longer.
        await delay(BETWEEN_TRIES_MS)
      }
    }
  }

  private async runOnce(task: Task, patienceS: number): Promise<Answer> {
    let thread = await this.take()
    try {
      const wasFresh = thread.isFresh
      return await thread.run(task, patienceS).catch((error: unknown) => {
        if (lacksRoom(error)) this.shrink(thread)
        if (lacksRoom(error) || wasFresh || thread.isHung || this.isClosed) throw error
        this.threads.delete(thread)
        thread = this.start()
        return thread.run(task, patienceS)
      })
    } finally {
      this.giveBack(thread)
    }
  }

  /** Ends all threads; what they are at fails, and what waits is forgotten. */
  async close(): Promise<void> {
    this.isClosed = true
    this.waiting.length = 0
    await Promise.all([...this.threads].map((thread) => thread.close()))
  }

  private take(): Promise<WorkerThread<Task, Answer>> {
    for (let thread = this.idle.pop(); thread !== undefined; thread = this.idle.pop()) {
      if (thread.isAlive) return Promise.resolve(thread)
      this.threads.delete(thread)
    }
    if (this.threads.size < this.most) return Promise.resolve(this.start())
    return new Promise((resolve) => this.waiting.push(resolve))
  }

  /** Does with one thread fewer from now on. */
  private shrink(dead: WorkerThread<Task, Answer>): void {
    this.threads.delete(dead)
    this.most = Math.max(1, this.threads.size)
  }

  private giveBack(thread: WorkerThread<Task, Answer>): void {
    if (!thread.isAlive) this.threads.delete(thread)
    const mayStart = thread.isAlive || this.threads.size < this.most
    const next = mayStart ? this.waiting.shift() : undefined
    if (next !== undefined) next(thread.isAlive ? thread : this.start())
    else if (thread.isAlive) this.idle.push(thread)
  }

  private start(): WorkerThread<Task, Answer> {
    const thread = new WorkerThread<Task, Answer>(this.file)
    this.threads.add(thread)
    return thread
  }
}

// Two seconds in all: longer than threads take to end, short where a user waits for an error.
const MOST_TRIES = 20
const BETWEEN_TRIES_MS = 100

/** Whether a thread could not be started for want of files or threads that the system allows. */
function lacksRoom(error: unknown): boolean {
  return error instanceof Error && 'code' in error && SHORTAGES.includes(String(error.code))
}

const SHORTAGES: readonly string[] = ['ERR_WORKER_INIT_FAILED', 'EMFILE', 'ENFILE']

function noRoom(): InputError {
  return new InputError('too-many-open', 'the system lets no more files or threads be open at once', {
    remedy: 'allow more: ulimit -n 256',
  })
}
