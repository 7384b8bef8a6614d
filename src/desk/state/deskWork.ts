/// <reference lib="dom" />
import type { DeskFault, DeskJob, DeskJobs, JobKind, WorkMessage } from '../work/deskJob.js'

/** How a question stands. */
export type Asked<Answer> =
  /** With what can be seen already, as SVG. */
  | { readonly state: 'waiting'; readonly share: number; readonly picture: string | null }
  | { readonly state: 'done'; readonly answer: Answer }
  | { readonly state: 'failed'; readonly fault: DeskFault }

/** The workers of the desk: questions go in, answers come back, and all that is asked can be given up. */
export interface DeskWork {
  readonly ask: <K extends JobKind>(
    kind: K,
    ask: DeskJobs[K]['ask'],
    tell: (asked: Asked<DeskJobs[K]['answer']>) => void,
  ) => void
  /** Gives up everything that is being worked on. */
  readonly cancel: () => void
}

interface Pending {
  readonly tell: (asked: Asked<never>) => void
  readonly timer: ReturnType<typeof setTimeout>
}

/** Nothing that a person waits for takes longer: a file that does is built to. */
const LONGEST_S = 180

/**
 * @param makeWorker - starts a worker; a new one takes the place of one that was given up
 */
export function deskWork(makeWorker: () => Worker): DeskWork {
  let number = 0
  const lanes = { read: lane(), think: lane() }

  function lane() {
    const pending = new Map<number, Pending>()
    let worker: Worker | undefined
    const giveUp = (fault: DeskFault) => {
      worker?.terminate()
      worker = undefined
      const all = [...pending.values()]
      pending.clear()
      for (const { tell, timer } of all) {
        clearTimeout(timer)
        tell({ state: 'failed', fault })
      }
    }
    const start = (): Worker => {
      const made = makeWorker()
      made.onmessage = ({ data }: MessageEvent<WorkMessage>) => {
        const asked = pending.get(data.number)
        if (asked === undefined) return
        if ('share' in data) return asked.tell({ state: 'waiting', share: data.share, picture: data.picture })
        clearTimeout(asked.timer)
        pending.delete(data.number)
        if ('fault' in data) asked.tell({ state: 'failed', fault: data.fault })
        else asked.tell({ state: 'done', answer: data.answer as never })
      }
      made.onerror = (event) => {
        event.preventDefault()
        giveUp({ code: 'fault', message: `This could not be done: ${event.message}`, remedy: '' })
      }
      return made
    }
    const post = (job: DeskJob, tell: Pending['tell']) => {
      worker ??= start()
      number += 1
      const timer = setTimeout(() => giveUp(TOO_LONG), LONGEST_S * 1000)
      pending.set(number, { tell, timer })
      worker.postMessage({ number, job })
    }
    const begin = () => {
      worker ??= start()
    }
    return { begin, post, giveUp }
  }

  lanes.read.begin()
  return {
    ask: (kind, ask, tell) => {
      // Pictures and logs don't wait behind a fit.
      const { post } = kind === 'stages' || kind === 'trace' ? lanes.read : lanes.think
      tell({ state: 'waiting', share: 0, picture: null })
      post({ kind, ...ask } as unknown as DeskJob, tell as Pending['tell'])
    },
    cancel: () => {
      for (const { giveUp } of Object.values(lanes)) giveUp(GIVEN_UP)
    },
  }
}

const GIVEN_UP: DeskFault = {
  code: 'given-up',
  message: 'You stopped this.',
  remedy: 'try again when you like',
}

const TOO_LONG: DeskFault = {
  code: 'too-long',
  message: `This took longer than ${LONGEST_S / 60} minutes and was stopped.`,
  remedy: 'is it a power log? Give a part of it, or one with fewer rows',
}
