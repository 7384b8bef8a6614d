import type { Repair } from '../trace.js'

/** Collects repairs: one entry a kind, with how many there were and the first line. */
export class RepairList {
  private readonly found = new Map<string, Repair>()

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

  list(): Repair[] {
    return [...this.found.values()]
  }
}
