import stringWidth from 'fast-string-width'

/**
 * Width of a text in pixels, near enough to keep labels apart where no browser can measure it.
 *
 * A terminal cell per character (wide scripts take two) times the mean advance of the page's font: its digits are
 * 0.497 em wide, mixed text at most 0.52 em, semi-bold 0.54 em (read from the font's own table).
 */
export function chartTextWidth(text: string, fontSizePx: number, bold = false): number {
  return stringWidth(text) * fontSizePx * (bold ? 0.54 : 0.52)
}
