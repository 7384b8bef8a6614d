/**
 * The same data with every text made safe for a terminal: control characters (C0, C1, DEL) and characters that set the direction
 * of text become `�`, so that no name in a sheet or a log can move the cursor, colour text or hide it. Numbers are untouched.
 *
 * @source ECMA-48, 5.3 (C1 control functions) and Unicode Standard Annex 9 (explicit directional formatting)
 * @example withoutControls({ name: 'a\u001b[2J' }) // { name: 'a�[2J' }
 */
export function withoutControls<T>(value: T): T {
  return cleaned(value) as T
}

function cleaned(value: unknown): unknown {
  if (typeof value === 'string') return value.replace(UNSAFE, '\ufffd')
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value)) return value
  if (Array.isArray(value)) return value.map(cleaned)
  if (Object.getPrototypeOf(value) !== Object.prototype) return value
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, cleaned(inner)]))
}

/** Control characters, and those that Unicode Annex 9 lists under explicit and implicit directional formatting. */
const UNSAFE = /[\p{Cc}\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu

/**
 * Text of several lines made safe for a terminal: its line breaks stay.
 *
 * @example plainLines('no option \u001b[2J\n') // 'no option �[2J\n'
 */
export function plainLines(text: string): string {
  return text.split('\n').map(withoutControls).join('\n')
}

/**
 * JSON text that a terminal shows as it is: what is unsafe in it stands as an escape, which means the same to every reader.
 *
 * @source RFC 8259, section 7: "Any character may be escaped."
 * @example escapeUnsafe(JSON.stringify('\u009b')) // '"\\u009b"'
 */
export function escapeUnsafe(json: string): string {
  return json.replace(UNSAFE_IN_JSON, (mark) => `\\u${mark.charCodeAt(0).toString(16).padStart(4, '0')}`)
}

/** The same as `UNSAFE`, but for the line breaks and the blanks between values: JSON itself escapes C0 within a text. */
const UNSAFE_IN_JSON = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g
