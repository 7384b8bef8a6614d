import { saysMissing } from '../table/cellParser.js'
import type { Column } from '../table/describeColumn.js'
import { decodeText } from '../table/logEncoding.js'
import { decodeCell } from '../table/recordCells.js'
import type { RecordScanner } from '../table/recordScanner.js'
import { REASON } from '../trace.js'
import { flagsOfMask, type ReasonBits } from './reasonBits.js'
import { reasonFlags } from './reasonFlags.js'

/**
 * Reads from one column what the machine says held it: words, a mask of named bits, or yes and no under a header that names
 * the reason. Such cells hardly ever change from row to row, so that each text is understood once.
 */
export class ReasonColumn {
  readonly index: number
  private readonly known = new Map<string, number>()
  private lastBytes: Uint8Array = new Uint8Array(0)
  private lastFlags = Number.NaN

  constructor(
    private readonly column: Column,
    private readonly bits: ReasonBits | undefined,
  ) {
    this.index = column.index
  }

  /** Flags of `REASON` in a record; NaN when its cell says nothing. */
  read(bytes: Uint8Array, record: RecordScanner): number {
    if (this.index >= record.count) return Number.NaN
    const [start, end] = [record.starts[this.index]!, record.ends[this.index]!]
    if (this.isLast(bytes, start, end)) return this.lastFlags
    this.lastFlags = this.parse(decodeCell(bytes, start, end, decodeText))
    this.lastBytes = bytes.slice(start, end)
    return this.lastFlags
  }

  /** The same of a cell as text. */
  parse(cell: string): number {
    const text = cell.length > LONGEST_CELL ? cell.slice(0, LONGEST_CELL).trim() : cell.trim()
    const known = this.known.get(text)
    if (known !== undefined) return known
    const flags = this.understand(text)
    if (this.known.size < MOST_KNOWN) this.known.set(text, flags)
    return flags
  }

  private understand(text: string): number {
    if (text === '') return Number.NaN
    if (MASK.test(text)) {
      const mask = BigInt(text)
      if (this.bits !== undefined) return flagsOfMask(mask, this.bits, REASON.other)
      return mask === 0n ? 0 : reasonFlags(this.column.name)
    }
    if (YES.test(text)) return reasonFlags(this.column.name)
    if (/^(none|off|disabled|-+)$/i.test(text)) return 0
    return saysMissing(text) ? Number.NaN : reasonFlags(text)
  }

  private isLast(bytes: Uint8Array, start: number, end: number): boolean {
    const { lastBytes } = this
    if (end - start !== lastBytes.length || end === start) return false
    for (let i = 0; i < lastBytes.length; i++) if (bytes[start + i] !== lastBytes[i]) return false
    return true
  }
}

/** A number that may be a mask: hexadecimal or whole. */
export const MASK = /^(0x[\da-f]{1,16}|\d{1,19})$/i
export const YES = /^(yes|true|on|active|ja|oui|sí|si)$/i

const LONGEST_CELL = 256
// Texts remembered: a log has a handful; what looks like reasons and never repeats shall not fill memory.
const MOST_KNOWN = 1000
