import { InputError, type InputLocation } from '../../errors.js'
import { atPlace } from '../../log/formula/atPlace.js'
import type { ReadFormula } from '../../log/formula/formulaOptions.js'
import { listNames } from '../../log/table/listNames.js'
import { plainText } from '../../log/table/plainText.js'
import { parseQuantity } from '../../units.js'

/** Where scores come from. */
export interface ScoreSource {
  readonly file: string
  /** Heading of the column with the scores, or a formula over columns. */
  readonly score?: string | undefined
  /** What `score` was read as, where no column may have that name. */
  readonly formula?: ReadFormula | undefined
}

/** Works out the score of a row, as text. */
export type RowScore = (row: readonly string[], where: InputLocation) => string

/**
 * The formula that a score is to be worked out by (`1e6 / time`), where no column has that name; undefined for a plain column. Times count
 * in seconds, however they are written.
 *
 * @throws InputError those of the formula, and `score-column-missing` with the place of a name that no column has
 */
export function scoreFormula(
  headings: readonly string[],
  { score, formula, file }: ScoreSource,
): RowScore | undefined {
  const known = headings.map((heading) => heading.toLowerCase())
  if (formula === undefined || known.includes(score?.trim().toLowerCase() ?? '')) return undefined
  if (formula instanceof InputError) throw formula
  const places = formula.names.map(({ name, at }) => {
    const index = known.indexOf(name.toLowerCase())
    if (index >= 0) return index
    throw new InputError(
      'score-column-missing',
      `expected a column "${plainText(name)}", got ${listNames(headings)}, in "${plainText(formula.text)}"${atPlace(formula.text, at)}`,
      {
        where: { file, line: 1 },
        remedy: 'name columns as their headings do, in double quotes where they are several words',
      },
    )
  })
  return (row, where) => {
    const value = formula.evaluate(places.map((index) => numberIn(row[index] ?? '', where)))
    if (!Number.isNaN(value)) return String(Number(value.toPrecision(DIGITS)))
    throw new InputError('score-invalid', `"${plainText(formula.text)}" gives no number in this row`, {
      where,
    })
  }
}

/** A number, with or without a word behind it, or a duration in seconds (`61.2 s`, `4:30`). */
function numberIn(cell: string, where: InputLocation): number {
  const text = cell.trim()
  const bare = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)(?:\s*[\p{L}%/]*)$/u.exec(
    text.slice(0, LONGEST_NUMBER),
  )?.[1]
  try {
    return parseQuantity(text, 'time')
  } catch {
    if (bare !== undefined) return Number(bare)
    throw new InputError('score-invalid', `expected a number, got "${plainText(text)}"`, {
      where,
      remedy: 'write decimals with a point, and no thousands',
    })
  }
}

const LONGEST_NUMBER = 80
/** More than any clock or counter measures. */
const DIGITS = 10
