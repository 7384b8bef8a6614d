import type { RecordScanner } from './recordScanner.js'

/** Bytes of a cell or a line to text, in the encoding of the log. */
export type DecodeText = (bytes: Uint8Array) => string

/**
 * Text of the cells that a scanner has found in a record, trimmed by nobody.
 *
 * @param textBetween - text of the bytes from one place up to another
 */
export function recordCells(
  record: RecordScanner,
  textBetween: (start: number, end: number) => string,
): string[] {
  const cells: string[] = []
  for (let k = 0; k < record.count; k++) {
    const text = textBetween(record.starts[k]!, record.ends[k]!)
    if (record.hasStray) cells.push(text.replaceAll('"', ''))
    else cells.push(record.quoted[k] === 1 ? unquoted(text) : text)
  }
  return cells
}

/** Text of some bytes; ASCII, as nearly all cells are, without the cost of a decoder. */
export function decodeCell(bytes: Uint8Array, start: number, end: number, decode: DecodeText): string {
  if (end - start > LONGEST_DIRECT) return decode(bytes.subarray(start, end))
  for (let i = start; i < end; i++) if (bytes[i]! >= 0x80) return decode(bytes.subarray(start, end))
  return String.fromCharCode(...bytes.subarray(start, end))
}

const LONGEST_DIRECT = 64

function unquoted(text: string): string {
  return text.replaceAll('""', '"').replace(/\r\n?/g, '\n')
}
