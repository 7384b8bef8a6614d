/** Delimiters that a log may use; the first is the fallback for a table of one column. */
export const DELIMITERS = [';', ',', '\t', '|'] as const

/** Columns set apart by any blanks, or by two and more where single ones stand in cells. */
export const BLANKS = [' ', '  '] as const
export type Delimiter = (typeof DELIMITERS)[number] | (typeof BLANKS)[number]

/**
 * Finds the cells of one record after the other in the bytes of a table, without making text of them.
 *
 * Works on UTF-8 and on every encoding that has ASCII as its lower half. A record is a line, of any line end; only a quoted cell may hold
 * line breaks, and not many. A quote inside a cell is an ordinary character (RFC 4180, rules 5 to 7); one that opens a
 * cell and is never closed, or closed only in the middle of a cell or many lines below, is a stray: then the record is
 * its line, split at every delimiter.
 *
 * @source RFC 4180, section 2
 */
export class RecordScanner {
  /** Where each of the first cells begins and ends, without the quotes around it. */
  starts = new Int32Array(64)
  ends = new Int32Array(64)
  /** 1 for a quoted cell. */
  quoted = new Uint8Array(64)
  /** Cells found, at most as many as were asked for. */
  count = 0
  /** Line breaks inside the record. */
  breaks = 0
  /** Whether a quote was taken for a stray character. */
  hasStray = false
  private readonly delimiter: number
  /** Greatest of the bytes that end a cell. */
  private readonly highest: number
  /** So many blanks in a row end a cell; 0 where another character does. */
  private readonly blanks: number

  constructor(delimiter: Delimiter) {
    this.blanks = delimiter.startsWith(' ') ? delimiter.length : 0
    this.delimiter = delimiter.charCodeAt(0)
    this.highest = Math.max(this.delimiter, CARRIAGE_RETURN)
  }

  /**
   * Scans the record that begins at `from`.
   *
   * @param wanted - cells whose places are noted; the rest of the record is only passed over
   * @param isLast - nothing follows these bytes; else a record that reaches their end may go on
   * @returns where the next record begins, or -1 when the bytes end before it is sure where the record does
   */
  scan(bytes: Uint8Array, from: number, wanted: number, isLast: boolean): number {
    const { delimiter, highest } = this
    const to = bytes.length
    this.count = 0
    this.breaks = 0
    this.hasStray = false
    if (this.blanks > 0) return this.scanAligned(bytes, from, wanted, isLast)
    for (let start = from; ; ) {
      let end = start
      if (start < to && bytes[start] === QUOTE) {
        end = this.endOfQuoted(bytes, start, isLast)
        if (end === UNSURE) return -1
        if (end === STRAY) return this.scanPlainLine(bytes, from, wanted, isLast)
        this.note(start + 1, end++, 1, wanted)
      } else {
        // Most bytes of a table are figures; one comparison passes over those that lie above the bytes that end a cell.
        for (; end < to; end++) {
          const byte = bytes[end]!
          if (byte <= highest && (byte === delimiter || byte === LINE_FEED || byte === CARRIAGE_RETURN)) break
        }
        if (end === to && !isLast) return -1
        this.note(start, end, 0, wanted)
      }
      if (end === to || bytes[end] !== delimiter) return endOfLine(bytes, end, isLast)
      start = end + 1
    }
  }

  /** A line whose cells are set apart by blanks; those at its ends mean nothing. */
  private scanAligned(bytes: Uint8Array, from: number, wanted: number, isLast: boolean): number {
    let end = from
    while (end < bytes.length && bytes[end] !== LINE_FEED && bytes[end] !== CARRIAGE_RETURN) end++
    if (end === bytes.length && !isLast) return -1
    let at = skipBlanks(bytes, from, end)
    if (at === end) this.note(end, end, 0, wanted)
    while (at < end) {
      const close = bytes[at] === QUOTE ? closingQuote(bytes, at, end) : -1
      if (close > 0) this.note(at + 1, close, 1, wanted)
      const stop = close > 0 ? close + 1 : this.endOfAligned(bytes, at, end)
      if (close <= 0) this.note(at, stop, 0, wanted)
      at = skipBlanks(bytes, stop, end)
    }
    return endOfLine(bytes, end, isLast)
  }

  /** Where the cell at `from` is followed by blanks enough, or by the end of the line. */
  private endOfAligned(bytes: Uint8Array, from: number, end: number): number {
    for (let at = from; at < end; ) {
      const after = skipBlanks(bytes, at, end)
      if (after > at && (after - at >= this.blanks || bytes[at] === TAB || after === end)) return at
      at = after > at ? after : at + 1
    }
    return end
  }

  /** The line as it stands, split at every delimiter: its quotes mean nothing. */
  private scanPlainLine(bytes: Uint8Array, from: number, wanted: number, isLast: boolean): number {
    this.count = 0
    this.breaks = 0
    this.hasStray = true
    let start = from
    let i = from
    for (; i < bytes.length && bytes[i] !== LINE_FEED && bytes[i] !== CARRIAGE_RETURN; i++) {
      if (bytes[i] !== this.delimiter) continue
      this.note(start, i, 0, wanted)
      start = i + 1
    }
    this.note(start, i, 0, wanted)
    return endOfLine(bytes, i, isLast)
  }

  /** Place of the closing quote. */
  private endOfQuoted(bytes: Uint8Array, open: number, isLast: boolean): number {
    let breaks = 0
    for (let i = open + 1; i < bytes.length; i++) {
      const byte = bytes[i]
      if (byte === LINE_FEED || (byte === CARRIAGE_RETURN && bytes[i + 1] !== LINE_FEED)) {
        if (++breaks + this.breaks > MOST_BREAKS) return STRAY
      } else if (byte === QUOTE) {
        const next = i + 1 < bytes.length ? bytes[i + 1] : isLast ? LINE_FEED : undefined
        if (next === undefined) return UNSURE
        if (next === QUOTE) i++
        else if (next === this.delimiter || next === LINE_FEED || next === CARRIAGE_RETURN) {
          this.breaks += breaks
          return i
        } else return STRAY
      }
    }
    return isLast ? STRAY : UNSURE
  }

  private note(start: number, end: number, quoted: 0 | 1, wanted: number): void {
    if (this.count >= wanted) return
    if (this.count === this.starts.length) this.grow()
    this.starts[this.count] = start
    this.ends[this.count] = end
    this.quoted[this.count] = quoted
    this.count++
  }

  private grow(): void {
    const size = 4 * this.starts.length
    const [starts, ends, quoted] = [new Int32Array(size), new Int32Array(size), new Uint8Array(size)]
    starts.set(this.starts)
    ends.set(this.ends)
    quoted.set(this.quoted)
    Object.assign(this, { starts, ends, quoted })
  }
}

function skipBlanks(bytes: Uint8Array, from: number, end: number): number {
  let at = from
  while (at < end && (bytes[at] === SPACE || bytes[at] === TAB)) at++
  return at
}

/** Place of the quote that closes the one at `open` before blanks or the end of the line; -1 when there is none. */
function closingQuote(bytes: Uint8Array, open: number, end: number): number {
  for (let at = open + 1; at < end; at++) {
    if (bytes[at] !== QUOTE) continue
    return at + 1 === end || bytes[at + 1] === SPACE || bytes[at + 1] === TAB ? at : -1
  }
  return -1
}

const SPACE = 0x20
const TAB = 0x09
const QUOTE = 0x22
const LINE_FEED = 0x0a
const CARRIAGE_RETURN = 0x0d
const UNSURE = -1
const STRAY = -2

// A quoted cell of a log may hold a line break or two (RFC 4180, rule 6); one that holds more is a stray quote.
const MOST_BREAKS = 5

/** First byte after the line end at `at`; -1 when a carriage return may yet be followed by its line feed. */
function endOfLine(bytes: Uint8Array, at: number, isLast: boolean): number {
  const rest = bytes.length - at
  if (rest === 0) return isLast ? at : -1
  if (bytes[at] !== CARRIAGE_RETURN) return at + 1
  if (rest === 1) return isLast ? at + 1 : -1
  return bytes[at + 1] === LINE_FEED ? at + 2 : at + 1
}
