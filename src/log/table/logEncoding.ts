import { InputError } from '../../errors.js'

/** How the bytes of a log stand for characters. Either of the last two, or both, may be in one file. */
export type LogEncoding = 'utf-16le' | 'utf-16be' | 'shift_jis' | 'utf-8 or windows-1252'

/** So many bytes are looked at for the encoding. */
export const ENCODING_BYTES = 65_536

/**
 * Encoding of a log: a byte order mark decides; else UTF-16 when every other byte of the first part is zero; else Shift JIS where the bytes are no
 * UTF-8 and hold Japanese words in it.
 *
 * @param head - the first `ENCODING_BYTES`, or all there are
 * @throws InputError `not-text` when it holds zero bytes that no text encoding explains
 * @source WHATWG Encoding Standard for the byte order marks and Shift JIS
 * @example logEncoding(new Uint8Array([0xff, 0xfe, 0x41, 0])) // 'utf-16le'
 */
export function logEncoding(head: Uint8Array): LogEncoding {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le'
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be'
  if (!head.subarray(0, ENCODING_BYTES).includes(0))
    return isShiftJis(head.subarray(0, ENCODING_BYTES)) ? 'shift_jis' : 'utf-8 or windows-1252'
  const pairs = Math.floor(Math.min(head.length, 4096) / 2)
  let [evenZeros, oddZeros] = [0, 0]
  for (let i = 0; i < pairs; i++) {
    if (head[2 * i] === 0) evenZeros++
    if (head[2 * i + 1] === 0) oddZeros++
  }
  if (oddZeros > 0.8 * pairs && evenZeros === 0) return 'utf-16le'
  if (evenZeros > 0.8 * pairs && oddZeros === 0) return 'utf-16be'
  throw new InputError('not-text', 'expected a text table, got binary data (zero bytes)', {
    remedy: 'export the log as CSV text',
  })
}

/** Two Japanese characters in a row: text of Windows-1252 has none that would look so, but for quotes about single letters. */
const JAPANESE = /[\u3041-\u30ff\u3400-\u9fff]{2}/

/** A head may end in the middle of a character, which streaming leaves open. */
function isShiftJis(head: Uint8Array): boolean {
  if (head.every((byte) => byte < 0x80) || isValid('utf-8', head)) return false
  return isValid('shift_jis', head) && JAPANESE.test(new TextDecoder('shift_jis').decode(head))
}

function isValid(encoding: string, bytes: Uint8Array): boolean {
  try {
    new TextDecoder(encoding, { fatal: true }).decode(bytes, { stream: true })
    return true
  } catch {
    return false
  }
}

/**
 * Converts a log, chunk by chunk, to bytes of which every delimiter, digit and line end is ASCII: UTF-16 and Shift JIS become UTF-8, the others
 * stay as they are. A byte order mark is dropped.
 */
export function asciiConverter(encoding: LogEncoding): (bytes: Uint8Array, isLast: boolean) => Uint8Array {
  if (encoding === 'utf-8 or windows-1252') {
    let isFirst = true
    return (bytes) => {
      const mark = isFirst && bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0
      isFirst = false
      return bytes.subarray(mark)
    }
  }
  const decoder = new TextDecoder(encoding)
  const encoder = new TextEncoder()
  return (bytes, isLast) => encoder.encode(decoder.decode(bytes, { stream: !isLast }))
}

/**
 * Some whole cells or lines of a log as text: UTF-8 when they are valid, else Windows-1252. A character that the end of the log cut off is forgiven.
 *
 * @source WHATWG Encoding Standard for the Windows-1252 table (through TextDecoder)
 * @example decodeText(new Uint8Array([0xb0, 0x43])) // '°C'
 */
export function decodeText(bytes: Uint8Array): string {
  for (let cut = 0; cut <= 3 && cut <= bytes.length; cut++) {
    try {
      return UTF_8.decode(bytes.subarray(0, bytes.length - cut))
    } catch {
      if ((bytes[bytes.length - 1 - cut] ?? 0) < 0x80) break
    }
  }
  return WINDOWS_1252.decode(bytes)
}

/**
 * A whole text of any of the encodings, without its byte order mark.
 *
 * @throws InputError `not-text`
 */
export function decodeFile(bytes: Uint8Array): string {
  const encoding = logEncoding(bytes.subarray(0, ENCODING_BYTES))
  return decodeText(asciiConverter(encoding)(bytes, true))
}

const UTF_8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true })
const WINDOWS_1252 = new TextDecoder('windows-1252')
