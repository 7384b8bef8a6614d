import { decodeCell, recordCells } from './recordCells.js'
import { type Delimiter, RecordScanner } from './recordScanner.js'

/** One record of the table: its cells, trimmed by nobody, and the line of the file where it begins, from 1. */
export type VisitRecord = (cells: readonly string[], line: number) => void

/**
 * Calls `visit` for each record of a text, blank lines included (one empty cell), with the line where it begins; see
 * `RecordScanner` for what a record is.
 *
 * @param text - any line ends
 * @example splitRecords('a;b\n1;2', ';', (cells, line) => { rows.push([line, ...cells]) })
 */
export function splitRecords(text: string, delimiter: Delimiter, visit: VisitRecord): void {
  const bytes = new TextEncoder().encode(text)
  const decoder = new TextDecoder('utf-8', { ignoreBOM: true })
  const decode = (cell: Uint8Array) => decoder.decode(cell)
  // In ASCII a byte is a character.
  const textBetween =
    bytes.length === text.length
      ? (start: number, end: number) => text.slice(start, end)
      : (start: number, end: number) => decodeCell(bytes, start, end, decode)
  const record = new RecordScanner(delimiter)
  let [at, line] = [0, 1]
  while (at < bytes.length) {
    const next = record.scan(bytes, at, Number.POSITIVE_INFINITY, true)
    visit(recordCells(record, textBetween), line)
    line += 1 + record.breaks
    at = next
  }
}
