/** A formula with a plain symbol (`c0`, `c1`, …) in the place of each name. */
export interface NamedFormula {
  readonly written: string
  /** Name by symbol, in the order of first use. */
  readonly symbols: ReadonlyMap<string, string>
}

/**
 * Puts a plain symbol in the place of each name, so that a name may hold spaces, dots and brackets, and none can be taken for a word of
 * the evaluator. Function names (a word before a bracket) stay. Places in errors are kept: each symbol is padded to its name's length.
 *
 * @param text - the formula as written
 */
export function formulaNames(text: string): NamedFormula {
  const byName = new Map<string, string>()
  const written = text.replace(NAME, (found: string, quoted: string | undefined, at: number) => {
    const name = quoted ?? found
    if (quoted === undefined && /^\s*\(/.test(text.slice(at + found.length))) return found
    const symbol = byName.get(name) ?? `c${byName.size}`
    byName.set(name, symbol)
    return symbol.padEnd(found.length)
  })
  return { written, symbols: new Map([...byName].map(([name, symbol]) => [symbol, name])) }
}

/** Text in double quotes, or a word of letters, digits, `_`, `#`, `%`, `µ` and `°` that begins with none of the digits; words may be joined by dots. */
const NAME = /"([^"]*)"|(?<![\d.])[\p{L}_#µ°][\p{L}\p{N}_%µ°]*(?:\.[\p{L}_][\p{L}\p{N}_%]*)*/gu
