import { findHeader } from '../../log/table/findHeader.js'
import { asciiConverter, decodeText, ENCODING_BYTES, logEncoding } from '../../log/table/logEncoding.js'
import type { LogFile } from './logFile.js'

/** Bytes in which every header lies, as `LogParser` looks for it. */
const HEAD_BYTES = 2 ** 18

/** Names of all columns of a log, for choosing among them; none where no header is found. */
export async function columnNames(log: LogFile): Promise<readonly string[]> {
  const head = new Uint8Array(await log.blob.slice(0, HEAD_BYTES).arrayBuffer())
  try {
    const plain = asciiConverter(logEncoding(head.subarray(0, ENCODING_BYTES)))(head, true)
    return findHeader(decodeText(plain)).columns.map(({ header }) => header)
  } catch {
    return []
  }
}
