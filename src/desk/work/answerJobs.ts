/// <reference lib="dom" />
import { type Answered, answerQuestion } from './answerQuestion.js'
import { columnNames } from './columnNames.js'
import { deskFault } from './deskFault.js'
import type { DeskJob, DeskJobs, JobKind, WorkMessage } from './deskJob.js'
import { drawChart, drawTrace } from './drawTrace.js'
import type { LogFile } from './logFile.js'
import { kept, logShelf, type TellShare } from './logShelf.js'
import { modelsOf, publishMachines } from './publishMachines.js'
import { commandOfQuestion, type Question } from './question.js'
import { readLogCard } from './readLogCard.js'
import { newSheet, scoreSheet } from './scoreSheet.js'
import { testShelf } from './testShelf.js'

/** Where a worker gets its questions from and posts its answers to. */
export interface WorkPort {
  postMessage: (message: WorkMessage) => void
  onmessage: ((event: MessageEvent<{ readonly number: number; readonly job: DeskJob }>) => void) | null
}

/** Answers one question after the other, in the order in which they come. */
export function answerJobs(port: WorkPort): void {
  // The renderer takes longest to set up: it is there before the first log is.
  setTimeout(() => void Promise.all([import('vega'), import('vega-lite')]))
  const shelf = logShelf()
  const keeps = { tests: new Map(), fits: new Map() }
  const answers = new Map<string, Promise<Answered>>()
  let last: Promise<void> = Promise.resolve()
  port.onmessage = ({ data: { number, job } }) => {
    last = last.then(async () => {
      try {
        const tell: TellShare = (share, picture = undefined) =>
          port.postMessage({ number, share, picture: picture ?? null })
        port.postMessage({ number, answer: await answerOf(job, tell) })
      } catch (error) {
        port.postMessage({ number, fault: deskFault(error) })
      }
    })
  }

  async function answerOf(job: DeskJob, tell: TellShare): Promise<DeskJobs[JobKind]['answer']> {
    switch (job.kind) {
      case 'stages':
        return readLogCard(job.log, shelf, tell)
      case 'trace':
        return drawTrace(job.log, job, shelf)
      case 'columns':
        return columnNames(job.log)
      case 'draft':
        return newSheet(job, shelf)
      case 'scores':
        return scoreSheet(job.sheet, job.table, testShelf(job.logs, shelf, keeps))
      case 'page':
        return publishMachines(job, testShelf(job.logs, shelf, keeps))
      case 'models':
        return modelsOf(job.sheets, testShelf(job.logs, shelf, keeps))
      case 'question':
        return inWords(job.question, await answered(job.question, job.logs))
      case 'picture': {
        const { charts } = await answered(job.question, job.logs)
        const chart = charts.find(({ name }) => name === job.name)
        return chart === undefined
          ? '<svg xmlns="http://www.w3.org/2000/svg"/>'
          : drawChart(chart, job.widthPx, job.form)
      }
    }
  }

  function answered(question: Question, logs: readonly LogFile[]): Promise<Answered> {
    const key = JSON.stringify([question, logs.map(({ id, name }) => [id, name])])
    return kept(answers, key, () => answerQuestion(question, testShelf(logs, shelf, keeps)))
  }
}

/** What can be posted of an answer: a chart's words and numbers, without the way that it is drawn. */
function inWords(question: Question, answered: Answered): DeskJobs['question']['answer'] {
  const charts = answered.charts.map(({ name, title, subtitle, summary, table }) => {
    return { name, title, subtitle, summary, table }
  })
  return { ...answered, charts, command: commandOfQuestion(question) }
}
