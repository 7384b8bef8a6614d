/**
 * The same data with every text made safe for a terminal: control characters (C0, C1, DEL) and direction overrides
 * become `�`, so that no name in a sheet or a log can move the cursor, colour text or hide it. Numbers are untouched.
 *
 * @source ECMA-48, 5.3 (C1 control functions) and Unicode Standard Annex 9 (explicit directional formatting)
 * @example withoutControls({ name: 'a\u001b[2J' }) // { name: 'a�[2J' }
 */
export function withoutControls<T>(value: T): T {
  return cleaned(value) as T
}

function cleaned(value: unknown): unknown {
  if (typeof value === 'string') return value.replace(/[\p{Cc}\u202a-\u202e\u2066-\u2069]/gu, '\ufffd')
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value)) return value
  if (Array.isArray(value)) return value.map(cleaned)
  if (Object.getPrototypeOf(value) !== Object.prototype) return value
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, cleaned(inner)]))
}
