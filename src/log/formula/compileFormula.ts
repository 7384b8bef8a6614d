import type { MathNode } from 'mathjs'
import { InputError } from '../../errors.js'
import { parseUnit, type Unit } from '../../units.js'
import { type ElectricUnit, parseElectricUnit } from '../table/electricUnit.js'
import { plainText } from '../table/plainText.js'
import { atPlace } from './atPlace.js'
import { checkFormula, FORMULA_FUNCTIONS } from './checkFormula.js'
import { type Exponents, exponentsOf, PLAIN, unitOfExponents } from './exponentsOf.js'
import { formulaDimension, UnlikeUnits } from './formulaDimension.js'
import { type FormulaName, formulaNames, type NamedFormula, withNames } from './formulaNames.js'

/** A formula over named columns, read and checked, not yet bound to a table. */
export interface Formula {
  readonly text: string
  /** Names of columns that stand in it, in the order of their first use. */
  readonly names: readonly FormulaName[]
  /**
   * Value of the formula; NaN where there is none.
   *
   * @param values - a number in SI units (degrees C, per cent) for each name, in the order of `names`
   */
  readonly evaluate: (values: ArrayLike<number>) => number
  /**
   * Exponents of its unit.
   *
   * @param of - those of each name, in the order of `names`
   * @throws InputError `formula-units` where watts would be added to volts, and the like
   */
  readonly dimension: (of: readonly Exponents[]) => Exponents
}

/**
 * Reads a formula such as `volts * amps`, `cpu + gpu` or `wall * 0.88 - 6 W`.
 *
 * Names are words, words joined by dots (`power.chip`), or any text in double quotes (`"Package power [W]"`). Allowed are numbers, with or
 * without a unit, `+ - * / ^`, brackets and the functions `min max abs sqrt`. Nothing else is: no assignment, no index, no other function,
 * so that a formula can reach nothing but the numbers of its row. mathjs is loaded by the first call.
 *
 * @param text - at most 300 characters
 * @throws InputError `formula-too-long`, `formula-unreadable`, `formula-not-allowed`, `formula-unit`, each with the place in the formula
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
  const named = { ...formulaNames(text), text }
  const tree = parseTree(math, named.written, text)
  checkFormula(tree, named)
  const units = new Map([...named.units].map(([letter, unit]) => [letter, unitOf(unit, text)]))
  const code = tree.compile()
  const letters = [...named.names.keys()]
  const scope = new Map([...units].map(([letter, { scale }]) => [letter, scale]))
  return {
    text,
    names: [...named.names.values()],
    evaluate: (values) => {
      for (let k = 0; k < letters.length; k++) scope.set(letters[k]!, values[k]!)
      const value = resultOf(() => code.evaluate(scope))
      return typeof value === 'number' && Number.isFinite(value) ? value : Number.NaN
    },
    dimension: (of) =>
      dimensionOf(
        tree,
        named,
        (letter) => unitExponents(units.get(letter)) ?? of[letters.indexOf(letter)] ?? PLAIN,
      ),
  }
}

/** The evaluator refuses some values of some rows: the least of two numbers of which one is a root of a negative one. */
function resultOf(evaluate: () => unknown): unknown {
  try {
    return evaluate()
  } catch {
    return Number.NaN
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
  return new InputError(
    'formula-unreadable',
    `expected a formula like volts * amps, got "${plainText(text)}"${place === undefined ? '' : atPlace(text, place - 1)}`,
    { remedy: `use numbers, column names, + - * / ^, brackets and ${FORMULA_FUNCTIONS.join(', ')}` },
  )
}

function unitOf({ name, at }: FormulaName, text: string): PlainUnit {
  if (name === '%') return PER_CENT
  const unit = parseUnit(name) ?? parseElectricUnit(name)
  // A symbol alone: the words (`volts`) are what columns are called.
  if (unit !== undefined && unit.offset === 0 && unit.symbol === name.replace(/[μµ]/, 'u')) return unit
  throw new InputError(
    'formula-unit',
    `expected a unit after the number in "${plainText(text)}"${atPlace(text, at)}`,
    { remedy: `write * between a number and a column, as in 0.88 * ${plainText(name)}` },
  )
}

type PlainUnit = Unit | ElectricUnit | typeof PER_CENT
/** `88 %` is 0.88. */
const PER_CENT = { symbol: '%', dimension: 'none', scale: 0.01 } as const

function unitExponents(unit: PlainUnit | undefined): Exponents | undefined {
  if (unit === undefined) return undefined
  return unit.dimension === 'none' ? PLAIN : exponentsOf(unit)
}

function dimensionOf(
  tree: MathNode,
  named: NamedFormula & { readonly text: string },
  of: (letter: string) => Exponents,
): Exponents {
  try {
    return formulaDimension(tree, of) ?? PLAIN
  } catch (error) {
    if (!(error instanceof UnlikeUnits)) throw error
    const told = [error.first, error.second].map(
      ([node, exponents]) => `"${plainText(withNames(node.toString(), named))}" is ${inWords(exponents)}`,
    )
    throw new InputError('formula-units', `in "${plainText(named.text)}" ${told.join(', and ')}`, {
      remedy: 'only like quantities can be added, subtracted or compared; give a number its unit, as in 6 W',
    })
  }
}

function inWords(exponents: Exponents): string {
  const unit = unitOfExponents(exponents)
  return unit.startsWith('a ') ? unit : `in ${unit}`
}
