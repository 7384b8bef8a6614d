import { plainText } from '../../log/table/plainText.js'

/** A name that can stand in a header: no delimiters, no brackets that would look like a unit's. */
export function cellText(text: string): string {
  return plainText(text, 50)
    .replace(/[",;|\t[\](){}<>]/g, ' ')
    .trim()
}
