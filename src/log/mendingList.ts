import type { Mending } from './trace.js'

/** Collects mendings: one entry a kind, with how many there were and the first line. */
export class MendingList {
  private readonly found = new Map<string, Mending>()

  add(kind: string, line: number | undefined, detail: string, count = 1): void {
    const known = this.found.get(kind)
    const firstLine = known === undefined ? (line ?? null) : known.firstLine
    const first = known?.detail ?? detail
    this.found.set(kind, { kind, count: (known?.count ?? 0) + count, firstLine, detail: first })
  }

  /** All lines of one kind; nothing when there are none. */
  addLines(kind: string, lines: ArrayLike<number>, detail: string): void {
    if (lines.length > 0) this.add(kind, lines[0], detail, lines.length)
  }

  list(): Mending[] {
    return [...this.found.values()]
  }
}
