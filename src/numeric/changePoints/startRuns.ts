/**
 * The start of the last segment of every best cut, for cuts of ever more values. It stays the same for many values in a row, so
 * that a few runs stand for millions: memory that is not touched costs no time.
 */
export class StartRuns {
  private firsts: Int32Array = new Int32Array(FIRST_ROOM)
  private starts: Int32Array = new Int32Array(FIRST_ROOM)
  private count = 0
  private latest = -1

  /** Notes the start for a number of values; numbers come rising. */
  note(values: number, start: number): void {
    if (start === this.latest) return
    if (this.count === this.starts.length) this.grow()
    this.firsts[this.count] = values
    this.starts[this.count] = start
    this.count++
    this.latest = start
  }

  /** First index of each segment but the first, rising, of the best cut of so many values. */
  edges(values: number): readonly number[] {
    const edges: number[] = []
    let end = values
    for (let run = this.count - 1; run >= 0; run--) {
      if (this.firsts[run]! > end) continue
      end = this.starts[run]!
      if (end === 0) break
      edges.push(end)
    }
    return edges.reverse()
  }

  private grow(): void {
    this.firsts = twiceAsLong(this.firsts)
    this.starts = twiceAsLong(this.starts)
  }
}

const FIRST_ROOM = 256

function twiceAsLong(array: Int32Array): Int32Array {
  const longer = new Int32Array(2 * array.length)
  longer.set(array)
  return longer
}
