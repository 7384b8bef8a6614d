import { type MessagePort, parentPort } from 'node:worker_threads'
import { answerTask } from './answerTask.js'
import type { FleetTask } from './fleetTask.js'

/** Answers the tasks that come through a port, one after another. */
export function answerTasks(port: MessagePort): void {
  port.on('message', async (task: FleetTask) => port.postMessage(await answerTask(task)))
}

// Worker threads start from this module.
if (parentPort !== null) answerTasks(parentPort)
