/** A name or a unit as it stands in a formula. */
export interface FormulaName {
  readonly name: string
  /** Place of its first character in the formula, from 0. */
  readonly at: number
}

/** A formula with one letter, and blanks, in the place of each name and unit. */
export interface NamedFormula {
  readonly written: string
  /** Columns by their letter, in the order of first use. */
  readonly names: ReadonlyMap<string, FormulaName>
  /** Units by their letter: what stands right after a number (`6 W`). */
  readonly units: ReadonlyMap<string, FormulaName>
}

/**
 * Puts a letter in the place of each name, so that a name may hold spaces, dots and brackets, and none can be taken for a word of
 * the evaluator. Function names (a word before a bracket) stay. Every place stays what it was, for messages.
 *
 * What follows a number without an operator is a unit, whatever the columns are called.
 *
 * @param text - the formula as written
 */
export function formulaNames(text: string): NamedFormula {
  const names = new Map<string, FormulaName>()
  const units = new Map<string, FormulaName>()
  const letterOf = (name: FormulaName, known: Map<string, FormulaName>) => {
    const found = [...known].find(([, other]) => other.name === name.name)?.[0]
    const letter = found ?? String.fromCharCode(FIRST_LETTER + names.size + units.size)
    if (found === undefined) known.set(letter, name)
    return letter
  }
  const written = text.replace(TOKEN, (found: string, ...rest: unknown[]) => {
    const { number = '', blank = '', unit, quoted } = rest.at(-1) as TokenParts
    const at = rest.at(-3) as number
    const isCalled = /^\s*\(/.test(text.slice(at + found.length))
    if (unit !== undefined && !isCalled) {
      const letter = letterOf({ name: unit, at: at + number.length + blank.length }, units)
      return `${number}${blank}${letter}`.padEnd(found.length)
    }
    if (number !== '' || (quoted === undefined && isCalled)) return found
    return letterOf({ name: quoted ?? found, at }, names).padEnd(found.length)
  })
  return { written, names, units }
}

/** Text in which the letters are names again. */
export function withNames(written: string, { names, units }: Omit<NamedFormula, 'written'>): string {
  return written.replace(
    /[\u0100-\u024f]/g,
    (letter) => (names.get(letter) ?? units.get(letter))?.name ?? letter,
  )
}

interface TokenParts {
  readonly number?: string
  readonly blank?: string
  readonly unit?: string
  readonly quoted?: string
}

/** Letters that the evaluator takes for names, and that a formula of 300 characters can't use up. */
const FIRST_LETTER = 0x100

const WORD = '[\\p{L}_#µ°][\\p{L}\\p{N}_µ°]*'
/** A number with what follows it; text in double quotes; or words joined by dots, a column's number (`#3`) among them. */
const TOKEN = new RegExp(
  `(?<number>(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][-+]?\\d+)?)(?:(?<blank>\\s*)(?<unit>%|${WORD}))?|"(?<quoted>[^"]*)"|${WORD}(?:\\.[\\p{L}_][\\p{L}\\p{N}_%]*)*`,
  'gu',
)
