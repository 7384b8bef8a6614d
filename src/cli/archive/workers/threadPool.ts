import { WorkerThread } from './workerThread.js'

/** Threads that do tasks in the order in which they come. They are started as they are needed, and anew where one has died. */
export class ThreadPool<Task, Answer> {
  private readonly threads = new Set<WorkerThread<Task, Answer>>()
  private readonly idle: WorkerThread<Task, Answer>[] = []
  private isClosed = false
  private readonly waiting: ((thread: WorkerThread<Task, Answer>) => void)[] = []

  /** @param file - a module that answers each message with one */
  constructor(
    private readonly most: number,
    private readonly file: string,
  ) {}

  /**
   * Does a task. Where the thread dies over it that had done others before, it is done once more in a fresh one: what becomes of a
   * task must not depend on what its thread still holds of others.
   *
   * @throws what ended the thread, as `WorkerThread.run`
   */
  async run(task: Task, patienceS: number): Promise<Answer> {
    let thread = await this.take()
    try {
      const wasFresh = thread.isFresh
      return await thread.run(task, patienceS).catch((error: unknown) => {
        if (wasFresh || thread.isHung || this.isClosed) throw error
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

  private giveBack(thread: WorkerThread<Task, Answer>): void {
    if (!thread.isAlive) this.threads.delete(thread)
    const next = this.waiting.shift()
    if (next !== undefined) next(thread.isAlive ? thread : this.start())
    else if (thread.isAlive) this.idle.push(thread)
  }

  private start(): WorkerThread<Task, Answer> {
    const thread = new WorkerThread<Task, Answer>(this.file)
    this.threads.add(thread)
    return thread
  }
}
