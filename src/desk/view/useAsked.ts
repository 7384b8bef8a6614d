import { useContext, useEffect, useRef, useState } from 'preact/hooks'
import type { Asked } from '../state/deskWork.js'
import type { DeskJobs, JobKind } from '../work/deskJob.js'
import { DeskContext } from './deskContext.js'

/** How a question stands; `latest` is the last answer that came, to this question or the one before. */
export interface AskedNow<Answer> {
  readonly asked: Asked<Answer> | null
  readonly latest: Answer | null
  /** Asks again, after it failed or was stopped. */
  readonly again: () => void
}

/**
 * Asks the worker, and asks anew when the question changes. Only one question of a part is under way at a time: what was asked
 * meanwhile is left out but for the newest, so that pictures keep up with a hand that moves.
 *
 * @param ask - null: nothing to ask
 */
export function useAsked<K extends JobKind>(
  kind: K,
  ask: DeskJobs[K]['ask'] | null,
): AskedNow<DeskJobs[K]['answer']> {
  type Answer = DeskJobs[K]['answer']
  const { work, answers } = useContext(DeskContext)
  const [, redraw] = useState(0)
  const key = ask === null ? null : JSON.stringify([kind, ask])
  const flight = useRef({ busy: false, key, ask, latest: null as Answer | null, gone: false })
  flight.current.key = key
  flight.current.ask = ask

  const send = () => {
    const now = flight.current
    const { key: sent, ask: question } = now
    if (now.busy || sent === null || question === null || answers.has(sent)) return
    now.busy = true
    work.ask(kind, question, (asked: Asked<Answer>) => {
      if (asked.state !== 'waiting') now.busy = false
      if (asked.state === 'done') now.latest = asked.answer
      remember(answers, sent, asked)
      if (now.gone) return
      redraw((count) => count + 1)
      if (!now.busy && now.key !== sent) send()
    })
  }
  useEffect(send, [key])
  useEffect(
    () => () => {
      flight.current.gone = true
    },
    [],
  )

  const asked = key === null ? null : ((answers.get(key) as Asked<Answer> | undefined) ?? null)
  if (asked?.state === 'done') flight.current.latest = asked.answer
  const again = () => {
    if (key !== null) answers.delete(key)
    send()
  }
  return { asked, latest: key === null ? null : flight.current.latest, again }
}

/** Answers that are kept: a picture is some 50 kB. */
const MOST_ANSWERS = 200

function remember(answers: Map<string, Asked<unknown>>, key: string, asked: Asked<unknown>): void {
  answers.delete(key)
  answers.set(key, asked)
  if (answers.size > MOST_ANSWERS) answers.delete(answers.keys().next().value!)
}
