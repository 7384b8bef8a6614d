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
  const now = useRef({ key, ask, sent: null as string | null, latest: null as Answer | null }).current
  now.key = key
  now.ask = ask

  const send = () => {
    const { key: wanted, ask: question } = now
    if (now.sent !== null || wanted === null || question === null || answers.get(wanted) !== undefined) return
    now.sent = wanted
    work.ask(kind, question, (asked: Asked<Answer>) => {
      if (asked.state !== 'waiting') now.sent = null
      answers.set(wanted, asked)
      if (now.sent === null && now.key !== wanted) send()
    })
  }
  useEffect(send, [key])
  useEffect(
    () =>
      answers.listen((changed) => {
        if (changed === now.key) redraw((count) => count + 1)
      }),
    [],
  )

  const asked = key === null ? null : ((answers.get(key) as Asked<Answer> | undefined) ?? null)
  if (asked?.state === 'done') now.latest = asked.answer
  const again = () => {
    if (key !== null) answers.drop(key)
    send()
  }
  return { asked, latest: key === null ? null : now.latest, again }
}
