import { InputError } from '../errors.js'

/** Text and the encoding that it was found to be in. */
export interface DecodedText {
  readonly text: string
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'
}

/**
 * Bytes of a log to text: a byte order mark decides; else UTF-16 when every other byte of the first part is zero; else
 * UTF-8 when it is valid, and Windows-1252 when it is not.
 *
 * @param bytes - the whole file
 * @throws InputError `not-text` when it holds zero bytes that no text encoding explains
 * @source WHATWG Encoding Standard for the byte order marks and the Windows-1252 table (through TextDecoder)
 * @example decodeText(new Uint8Array([0xef, 0xbb, 0xbf, 0x41])).text // 'A'
 */
export function decodeText(bytes: Uint8Array): DecodedText {
  const encoding = encodingOf(bytes)
  if (encoding === 'utf-16le' || encoding === 'utf-16be') {
    return { text: new TextDecoder(encoding).decode(bytes), encoding }
  }
  if (bytes.subarray(0, BINARY_TEST_BYTES).includes(0)) {
    throw new InputError('not-text', 'needed a text table, got binary data (zero bytes)', {
      remedy: 'export the log as CSV text',
    })
  }
  const text = decodeUtf8(bytes)
  return text === undefined
    ? { text: new TextDecoder('windows-1252').decode(bytes), encoding: 'windows-1252' }
    : { text, encoding: 'utf-8' }
}

const BINARY_TEST_BYTES = 65_536

function encodingOf(bytes: Uint8Array): DecodedText['encoding'] {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le'
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be'
  const pairs = Math.floor(Math.min(bytes.length, 4096) / 2)
  let [evenZeros, oddZeros] = [0, 0]
  for (let i = 0; i < pairs; i++) {
    if (bytes[2 * i] === 0) evenZeros++
    if (bytes[2 * i + 1] === 0) oddZeros++
  }
  if (oddZeros > 0.8 * pairs && evenZeros === 0) return 'utf-16le'
  if (evenZeros > 0.8 * pairs && oddZeros === 0) return 'utf-16be'
  return 'utf-8'
}

/** Undefined when it is not UTF-8; a character cut off by the file's end is forgiven. */
function decodeUtf8(bytes: Uint8Array): string | undefined {
  for (let cut = 0; cut <= 3; cut++) {
    try {
      return new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(0, bytes.length - cut))
    } catch {
      if ((bytes[bytes.length - 1 - cut] ?? 0) < 0x80) return undefined
    }
  }
  return undefined
}
