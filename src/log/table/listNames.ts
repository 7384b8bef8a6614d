import { plainText } from './plainText.js'

/**
 * Names from a file in a row for a message, each in quotes: the first few, however many there are.
 *
 * @example listNames(['a', 'b']) // '"a", "b"'
 */
export function listNames(names: readonly string[]): string {
  const shown = names.slice(0, MOST_LISTED).map((name) => `"${plainText(name, LONGEST_LISTED)}"`)
  const more = names.length - shown.length
  return shown.join(', ') + (more > 0 ? ` and ${more} more` : '')
}

/** As many and as long as a message of a few lines holds. */
const MOST_LISTED = 8
const LONGEST_LISTED = 40
