/** What stands in a picture that this tool made, by which it may be replaced. */
export const PNG_MARK = 'Software\0holdwatt'

/**
 * A PNG with a text chunk behind its header that says what made it.
 *
 * @source ISO/IEC 15948 (PNG), 5.3 (chunk layout), 5.5 (CRC-32), 11.3.4.3 (tEXt, keyword `Software`)
 */
export function markPng(png: Uint8Array): Uint8Array {
  const body = Buffer.from(`tEXt${PNG_MARK}`, 'latin1')
  const chunk = Buffer.alloc(body.length + 8)
  chunk.writeUInt32BE(body.length - 4, 0)
  chunk.set(body, 4)
  chunk.writeUInt32BE(crc32(body), body.length + 4)
  return Buffer.concat([png.subarray(0, HEADER_END), chunk, png.subarray(HEADER_END)])
}

/** Signature (8 bytes), then the chunk IHDR: length, type, 13 bytes of data, CRC. */
const HEADER_END = 8 + 4 + 4 + 13 + 4

function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff
  for (const byte of bytes) {
    crc ^= byte
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0)
  }
  return (crc ^ 0xffffffff) >>> 0
}
