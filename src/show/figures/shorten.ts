import stringWidth from 'fast-string-width'
/** A name cut at its end until it fits: `Whimbrel 13, qu…`. */
export function shortenName(name: string, columns: number): string {
  return name.length <= columns ? name : `${name.slice(0, columns - 1)}…`
}

/** A path cut at its beginning, where paths of one archive are alike, until it fits: `…/b/heron-loop.csv`. */
export function shortenPath(path: string, columns: number): string {
  if (stringWidth(path) <= columns) return path
  const letters = [...path]
  while (letters.length > 1 && stringWidth(letters.join('')) > columns - 1) letters.shift()
  return `…${letters.join('')}`
}
