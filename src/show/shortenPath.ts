import stringWidth from 'fast-string-width'

/** A path cut at its beginning, where paths of one archive are alike, until it fits: `…/b/heron-loop.csv`. */
export function shortenPath(path: string, columns: number): string {
  if (stringWidth(path) <= columns) return path
  const letters = [...path]
  while (letters.length > 1 && stringWidth(letters.join('')) > columns - 1) letters.shift()
  return `…${letters.join('')}`
}
