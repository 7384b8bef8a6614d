import type { Unit } from '../../units.js'
import { type CellDimension, cellParser } from '../table/cellParser.js'
import type { ElectricUnit } from '../table/electricUnit.js'
import { decodeText } from '../table/logEncoding.js'
import { type DecimalMark, markOf } from '../table/parseNumber.js'
import { decodeCell } from '../table/recordCells.js'
import type { RecordScanner } from '../table/recordScanner.js'

/** What a column of numbers holds. */
export interface NumberFormat {
  readonly dimension: CellDimension
  /** Of the header; without one, a cell needs its own. */
  readonly unit: Unit | ElectricUnit | undefined
  readonly mark: DecimalMark
}

/**
 * Reads the numbers of one column, in the unit of its dimension (W, J, s, degrees C, Hz), straight from the bytes where a cell is
 * digits with at most a sign and a decimal mark; any other cell goes through `cellParser` as text.
 *
 * Both ways give the same double: up to 15 digits and a power of ten up to 10^15 are exact, so that their quotient is the number
 * nearest to what is written.
 *
 * @source W. D. Clinger (1990), How to read floating point numbers accurately, PLDI '90, 92-101 (the fast case)
 */
export class NumberColumn {
  readonly mark: DecimalMark
  private readonly markByte: number
  private readonly scale: number
  private readonly offset: number
  private readonly parseCell: (cell: string) => number
  /** Cells that settle which mark is the decimal one: plain ones speak for the mark that they were read with. */
  private plainMarks = 0
  private readonly textMarks = { '.': 0, ',': 0 }

  constructor(
    readonly index: number,
    { dimension, unit, mark }: NumberFormat,
  ) {
    this.mark = mark
    this.markByte = mark.charCodeAt(0)
    this.scale = unit?.scale ?? Number.NaN
    this.offset = unit?.offset ?? 0
    this.parseCell = cellParser(dimension, unit, mark)
  }

  /** Value of a plain cell of a record; NaN when the cell is anything else. */
  readPlain(bytes: Uint8Array, record: RecordScanner): number {
    if (this.index >= record.count) return Number.NaN
    let at = record.starts[this.index]!
    let end = record.ends[this.index]!
    while (at < end && isBlank(bytes[end - 1]!)) end--
    while (at < end && isBlank(bytes[at]!)) at++
    const negative = at < end && bytes[at] === MINUS
    if (negative || (at < end && bytes[at] === PLUS)) at++
    const first = at
    let whole = 0
    let markAt = end
    for (; at < end; at++) {
      const digit = bytes[at]! - ZERO
      if (digit >= 0 && digit <= 9) whole = 10 * whole + digit
      else if (bytes[at] === this.markByte && markAt === end) markAt = at
      else return Number.NaN
    }
    const marks = markAt < end ? 1 : 0
    const digits = end - first - marks
    if (digits < 1 || digits > MOST_DIGITS) return Number.NaN
    const decimals = end - markAt - marks
    if (marks === 1 && !couldBeThousands(markAt - first, decimals, bytes[first]!)) this.plainMarks++
    return ((negative ? -whole : whole) / TENS[decimals]! + this.offset) * this.scale
  }

  /** Value of any cell of a record; NaN when there is none. */
  read(bytes: Uint8Array, record: RecordScanner): number {
    const plain = this.readPlain(bytes, record)
    if (!Number.isNaN(plain) || this.index >= record.count) return plain
    const [start, end] = [record.starts[this.index]!, record.ends[this.index]!]
    if (start === end) return Number.NaN
    return this.parse(decodeCell(bytes, start, end, decodeText))
  }

  /** Value of a cell as text. */
  parse(cell: string): number {
    const settled = markOf(cell)
    if (settled !== undefined) this.textMarks[settled]++
    return this.parseCell(cell)
  }

  /** The decimal mark that the cells read so far speak for, or that which was taken when they leave it open. */
  settledMark(fallback: DecimalMark): DecimalMark {
    const points = this.textMarks['.'] + (this.mark === '.' ? this.plainMarks : 0)
    const commas = this.textMarks[','] + (this.mark === ',' ? this.plainMarks : 0)
    return points === commas ? fallback : points > commas ? '.' : ','
  }
}

const MOST_DIGITS = 15
const TENS = Float64Array.from({ length: MOST_DIGITS + 1 }, (_, power) => 10 ** power)
const ZERO = 0x30
const PLUS = 0x2b
const MINUS = 0x2d

/** `1.234` may be a thousand; `0.234`, `1.23` and `1234.5` may not. */
function couldBeThousands(wholeDigits: number, decimals: number, firstByte: number): boolean {
  return decimals === 3 && wholeDigits >= 1 && wholeDigits <= 3 && firstByte !== ZERO
}

function isBlank(byte: number): boolean {
  return byte === 0x20 || byte === 0x09
}
