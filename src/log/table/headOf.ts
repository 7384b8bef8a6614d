import { InputError } from '../../errors.js'

// A preamble is at most this long; a header further down is not looked for.
export const HEAD_LINES = 5000
// Limits against input that is no log: the longest header seen in practice has a few hundred columns.
export const HEAD_CHARACTERS = 2_000_000
export const LONGEST_LINE = 1_000_000

/**
 * The first lines of a text, as far as a header is looked for.
 *
 * @throws InputError `line-too-long`
 */
export function headOf(text: string, mostLines: number): string {
  let end = 0
  for (let lines = 0; lines < mostLines && end < text.length && end < HEAD_CHARACTERS; lines++) {
    const rest = /\r\n|\r|\n/g
    rest.lastIndex = end
    const found = rest.exec(text)
    const next = found === null ? text.length : found.index + found[0].length
    if (next - end > LONGEST_LINE) {
      throw new InputError(
        'line-too-long',
        `expected lines of a text table, got a line of ${next - end} characters`,
        {
          where: { line: lines + 1 },
          remedy: 'export the log as CSV text, one sample a line',
        },
      )
    }
    end = next
  }
  return text.slice(0, end)
}
