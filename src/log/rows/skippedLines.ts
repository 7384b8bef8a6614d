import type { SkippedLine } from '../trace.js'
import { BETWEEN_SAMPLES } from './rowKind.js'

/** Lines that were passed over, in the order of the file; of very many only the first are listed, and the rest counted. */
export class SkippedLines {
  /** Lines beyond those that are listed. */
  unlisted = 0
  private readonly found: SkippedLine[] = []
  /** Entries from here on stand after the last sample. */
  private afterSamples = 0

  add(line: number, reason: string): void {
    if (this.found.length < MOST_LISTED) this.found.push({ line, reason })
    else this.unlisted++
  }

  /** Notes that a sample follows what was passed over so far. */
  sample(): void {
    this.afterSamples = this.found.length
  }

  list(): SkippedLine[] {
    return this.found.map(({ line, reason }, i) =>
      i >= this.afterSamples && reason === BETWEEN_SAMPLES
        ? { line, reason: 'text after the samples' }
        : { line, reason },
    )
  }
}

// A list that nobody reads, and that would grow with the file; a log of a million samples with a blank line after each is listed whole.
const MOST_LISTED = 2_000_000
