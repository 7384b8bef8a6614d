import { type MessagePort, parentPort } from 'node:worker_threads'
import { answerTask } from './answerTask.js'
import type { ArchiveTask } from './archiveTask.js'

/** Answers the tasks that come through a port, one after another. */
export function answerTasks(port: MessagePort): void {
  port.on('message', async (task: ArchiveTask) => port.postMessage(await answerTask(task)))
}

// Worker threads start from this module.
if (parentPort !== null) answerTasks(parentPort)
