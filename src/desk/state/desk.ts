import type { LogOptions } from '../../log/trace.js'

/** A log that lies on the desk; its bytes are kept beside the desk, by its id. */
export interface DeskLog {
  readonly id: string
  readonly name: string
  readonly options: LogOptions
}

/** A test sheet that lies on the desk, as the text that the command reads too. */
export interface DeskSheet {
  readonly id: string
  /** Its file name. */
  readonly file: string
  readonly text: string
}

/** All that a person has laid out: what is undone, kept and saved is this. */
export interface Desk {
  readonly logs: readonly DeskLog[]
  readonly sheets: readonly DeskSheet[]
}

export const EMPTY_DESK: Desk = { logs: [], sheets: [] }

/** The desk with one log changed; `null` takes it away. */
export function withLog(desk: Desk, id: string, change: Partial<DeskLog> | null): Desk {
  return { ...desk, logs: changed(desk.logs, id, change) }
}

function changed<T extends { readonly id: string }>(
  items: readonly T[],
  id: string,
  change: Partial<T> | null,
): readonly T[] {
  if (change === null) return items.filter((item) => item.id !== id)
  return items.map((item) => (item.id === id ? { ...item, ...change } : item))
}

/** A name that no other file on the desk has: `loop.csv`, `loop-2.csv`. */
export function freeName(name: string, taken: readonly string[]): string {
  if (!taken.includes(name)) return name
  const [, stem = name, ending = ''] = /^(.*?)(\.[^.]*)?$/s.exec(name) ?? []
  let number = 2
  while (taken.includes(`${stem}-${number}${ending}`)) number += 1
  return `${stem}-${number}${ending}`
}
