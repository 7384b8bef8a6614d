import { plainText } from '../table/plainText.js'

/** Where in a formula something is wrong, for a message. */
export function atPlace(text: string, at: number): string {
  const rest = text.slice(at, at + 20).trim()
  return rest === '' ? ', which ends too early' : `, at character ${at + 1}: "${plainText(rest)}"`
}
