import type { MathNode } from 'mathjs'
import { InputError } from '../../errors.js'
import { plainText } from '../table/plainText.js'
import { checkFormula, FORMULA_FUNCTIONS } from './checkFormula.js'
import { formulaNames } from './formulaNames.js'

/** A formula over named columns, read and checked, not yet bound to a table. */
export interface Formula {
  readonly text: string
  /** Names that stand in it, columns and units alike, in the order of their first use. */
  readonly names: readonly string[]
  /**
   * Value of the formula.
   *
   * @param values - a number or a mathjs unit for each name, in the order of `names`
   */
  readonly evaluate: (values: readonly unknown[]) => unknown
  /** A quantity with a unit, for a check of dimensions; undefined where mathjs has no such unit. */
  readonly quantity: (value: number, unit: string) => unknown
}

/**
 * Reads a formula such as `volts * amps`, `cpu + gpu` or `wall * 0.88 - 6 W`.
 *
 * Names are words, words joined by dots (`power.chip`), or any text in double quotes (`"Package power [W]"`). Allowed are numbers,
 * `+ - * / ^`, brackets and the functions `min max abs sqrt`. Nothing else is: no assignment, no index, no other function, so that a
 * formula can reach nothing but the numbers of its row. mathjs is loaded by the first call.
 *
 * @param text - at most 300 characters
 * @throws InputError `formula-too-long`, `formula-unreadable`, `formula-not-allowed`, each with the place in the formula
 */
export async function compileFormula(text: string): Promise<Formula> {
  if (text.length > LONGEST_FORMULA) {
    throw new InputError(
      'formula-too-long',
      `expected a formula of at most ${LONGEST_FORMULA} characters, got ${text.length}`,
      { remedy: 'write a shorter one, or add a column to the log' },
    )
  }
  const math = await loadMath()
  const { written, symbols } = formulaNames(text)
  const tree = parseTree(math, written, text)
  checkFormula(tree, { text, symbols })
  const code = tree.compile()
  const names = [...symbols.values()]
  const keys = [...symbols.keys()]
  return {
    text,
    names,
    evaluate: (values) => code.evaluate(new Map(keys.map((key, index) => [key, values[index]]))),
    quantity: (value, unit) => quantityOf(math, value, unit),
  }
}

/** Longer than any sum of columns that a person types; a bound on what has to be read. */
const LONGEST_FORMULA = 300

type Math = Awaited<ReturnType<typeof createMath>>
let loading: Promise<Math> | undefined

function loadMath(): Promise<Math> {
  loading ??= createMath()
  return loading
}

/** Only the parts of mathjs that a formula may use: the rest is neither loaded nor within its reach. */
async function createMath() {
  const parts = await import('./mathParts.js')
  return parts.createMath()
}

function parseTree(math: Math, written: string, text: string): MathNode {
  try {
    return math.parse(written)
  } catch (error) {
    const place = (error as { char?: number }).char
    throw unreadable(text, place)
  }
}

function unreadable(text: string, place: number | undefined): InputError {
  const at =
    place === undefined ? '' : `, at character ${place}: "${plainText(text.slice(place - 1, place + 19))}"`
  return new InputError(
    'formula-unreadable',
    `expected a formula like volts * amps, got "${plainText(text)}"${at}`,
    { remedy: `use numbers, column names, + - * / ^, brackets and ${FORMULA_FUNCTIONS.join(', ')}` },
  )
}

function quantityOf(math: Math, value: number, unit: string): unknown {
  try {
    return math.unit(value, unit)
  } catch {
    return undefined
  }
}
