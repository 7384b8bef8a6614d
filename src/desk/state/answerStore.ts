import type { Asked } from './deskWork.js'

/** Answers by question, shared by all parts of the desk: what one part has asked, no other asks again. */
export interface AnswerStore {
  readonly get: (key: string) => Asked<unknown> | undefined
  readonly set: (key: string, asked: Asked<unknown>) => void
  readonly drop: (key: string) => void
  readonly clear: () => void
  /** Calls back after every change, until the returned function is called. */
  readonly listen: (tell: (key: string) => void) => () => void
}

/** Answers that are kept: a picture is some 50 kB. */
const MOST_ANSWERS = 200

export function answerStore(): AnswerStore {
  const answers = new Map<string, Asked<unknown>>()
  const listeners = new Set<(key: string) => void>()
  const tell = (key: string) => {
    for (const listener of [...listeners]) listener(key)
  }
  return {
    get: (key) => answers.get(key),
    set: (key, asked) => {
      answers.delete(key)
      answers.set(key, asked)
      if (answers.size > MOST_ANSWERS) answers.delete(answers.keys().next().value!)
      tell(key)
    },
    drop: (key) => {
      answers.delete(key)
      tell(key)
    },
    clear: () => answers.clear(),
    listen: (listener) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
  }
}
