/**
 * Text from a file, made fit for a message: control and direction characters (a terminal would obey them) become a
 * replacement mark, white space is single, and what is longer than `limit` is cut.
 *
 * @example plainText('Power\u001b[31m [W]') // 'Power\ufffd[31m [W]'
 */
export function plainText(text: string, limit = 80): string {
  const cut = text.length > 4 * limit ? text.slice(0, 4 * limit) : text
  const plain = cut.replace(/\s+/g, ' ').replace(UNFIT, '\ufffd').trim()
  return plain.length > limit ? `${plain.slice(0, limit - 1)}…` : plain
}

// C0 and C1 controls, DEL, zero-width and bidirectional formatting characters (Unicode general categories Cc, Cf).
const UNFIT = /[\p{Cc}\p{Cf}\p{Co}\p{Cs}]/gu
