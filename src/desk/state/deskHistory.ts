/** What was, is, and was undone; the latest last. */
export interface DeskHistory<T> {
  readonly past: readonly T[]
  readonly present: T
  readonly future: readonly T[]
}

/** Steps that can be undone. */
const MOST_STEPS = 100

/** A history with a further step; what was undone before is gone. */
export function step<T>({ past, present }: DeskHistory<T>, next: T): DeskHistory<T> {
  return { past: [...past, present].slice(-MOST_STEPS), present: next, future: [] }
}

/** The step before, if there is one. */
export function undo<T>(history: DeskHistory<T>): DeskHistory<T> {
  const present = history.past.at(-1)
  if (present === undefined) return history
  return { past: history.past.slice(0, -1), present, future: [history.present, ...history.future] }
}

/** The step that was undone last, if there is one. */
export function redo<T>(history: DeskHistory<T>): DeskHistory<T> {
  const [present, ...future] = history.future
  if (present === undefined) return history
  return { past: [...history.past, history.present], present, future }
}
