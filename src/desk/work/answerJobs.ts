/// <reference lib="dom" />
import { deskFault } from './deskFault.js'
import type { DeskJob, DeskJobs, JobKind, WorkMessage } from './deskJob.js'
import { drawTrace } from './drawTrace.js'
import { logShelf, type TellShare } from './logShelf.js'
import { readLogCard } from './readLogCard.js'

/** Where a worker gets its questions from and posts its answers to. */
export interface WorkPort {
  postMessage: (message: WorkMessage) => void
  onmessage: ((event: MessageEvent<{ readonly number: number; readonly job: DeskJob }>) => void) | null
}

/** Answers one question after the other, in the order in which they come. */
export function answerJobs(port: WorkPort): void {
  const shelf = logShelf()
  let last: Promise<void> = Promise.resolve()
  port.onmessage = ({ data: { number, job } }) => {
    last = last.then(async () => {
      try {
        const tell = (share: number) => port.postMessage({ number, share })
        port.postMessage({ number, answer: await answerOf(job, tell) })
      } catch (error) {
        port.postMessage({ number, fault: deskFault(error) })
      }
    })
  }

  function answerOf(job: DeskJob, tell: TellShare): Promise<DeskJobs[JobKind]['answer']> {
    switch (job.kind) {
      case 'stages':
        return readLogCard(job.log, shelf, tell)
      case 'trace':
        return drawTrace(job.log, job, shelf)
    }
  }
}
