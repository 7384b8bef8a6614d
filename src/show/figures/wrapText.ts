import stringWidth from 'fast-string-width'
import { NO_BREAK } from './digits.js'

/**
 * Breaks text at spaces so that no line is wider than `width` columns; numbers stay with their units.
 *
 * @param indent - columns left free before every line; `hanging` more before all lines but the first
 */
export function wrapText(text: string, width: number, indent = 0, hanging = 0): string {
  const lines: string[] = []
  for (const paragraph of text.split('\n')) wrapParagraph(paragraph, width, indent, hanging, lines)
  return lines.join('\n').replaceAll(NO_BREAK, ' ')
}

function wrapParagraph(text: string, width: number, indent: number, hanging: number, lines: string[]): void {
  let line = ' '.repeat(indent)
  let empty = true
  for (const word of text.split(' ')) {
    if (!empty && stringWidth(line) + 1 + stringWidth(word) > width) {
      lines.push(line)
      line = ' '.repeat(indent + hanging)
      empty = true
    }
    line += empty ? word : ` ${word}`
    empty = false
  }
  lines.push(line)
}
