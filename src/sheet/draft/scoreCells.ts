import { InputError, type InputLocation } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import type { Warning } from '../../warnings.js'
import { secondsPer } from '../parseScore.js'

/** Reads a cell of one column: the score with a decimal point; undefined for what is no score above zero. */
export type ScoreCells = (cell: string) => string | undefined

/**
 * How the scores of one column are read, told from all of its cells: a comma is a decimal one where a cell has other than three digits
 * behind it, and no cell has a point. A point before three digits, in every cell that has one, is one of thousands where the table shows it:
 * decimal commas or two such points somewhere, or whole numbers from 100 to 999 in the same column.
 *
 * @param lines - rows of the table below its headings, the first at line 2
 * @param index - of the column, counted from 0
 * @throws InputError `score-comma` where commas may as well be those of thousands
 * @example scoreCells([['112,4'], ['98']], 0, 'scores.csv')('112,4') // '112.4'
 */
export function scoreCells(lines: readonly (readonly string[])[], index: number, file: string): ScoreCells {
  const numbers = lines.flatMap((row, at) => {
    const cell = (row[index] ?? '').trim()
    return isScore(cell) ? [{ cell, line: at + 2 }] : []
  })
  if (
    hasThousands(
      numbers.map(({ cell }) => cell),
      lines,
    )
  )
    return thousandCells
  const commas = numbers.filter(({ cell }) => cell.includes(','))
  const isDecimal =
    commas.every(({ cell }) => /^\+?\d+,\d+(\D|$)/.test(cell)) &&
    commas.some(({ cell }) => !/,\d{3}(?!\d)/.test(cell)) &&
    !numbers.some(({ cell }) => cell.includes('.'))
  if (commas.length > 0 && !isDecimal) throw commaUnclear(commas[0]!.cell, { file, line: commas[0]!.line })
  return (cell) => {
    const plain = cell.replace(',', '.')
    return isScore(cell) && /[1-9]/.test(plain) ? plain : undefined
  }
}

/** `9.533` and `1.204.533,5`, as written where a comma is the decimal sign. */
const THOUSANDS = /^\+?\d{1,3}(\.\d{3})+(?![\d.])/
const TWO_GROUPS = /^\+?\d{1,3}(\.\d{3}){2,}(?![\d.])/
/** No number of thousands begins with a zero. */
const MAY_BE_THOUSANDS = /^\+?[1-9]\d{0,2}\.\d{3}(?![\d.,:])/
/** Digits other than three behind a comma, and no point. */
const DECIMAL_COMMA = /^\+?\d{1,12},(\d{1,2}|\d{4,9})(?![\d.,])/
/** A program that writes three decimals writes them here, too. */
const HUNDREDS = /^\+?[1-9]\d{2}(?![\d.,:])/

function hasThousands(numbers: readonly string[], lines: readonly (readonly string[])[]): boolean {
  const withPoint = numbers.filter((cell) => cell.includes('.'))
  if (!withPoint.every((cell) => THOUSANDS.test(cell))) return false
  const shows = (pattern: RegExp) => lines.some((row) => row.some((cell) => pattern.test(cell.trim())))
  if (shows(DECIMAL_COMMA)) return true
  return withPoint.length > 0 && (shows(TWO_GROUPS) || numbers.some((cell) => HUNDREDS.test(cell)))
}

/**
 * The first score with a point before three digits, in a column where every point stands so and nothing tells whether it is one of thousands:
 * it was read as a fraction. Of times and frame rates nobody has thousands.
 *
 * @param index - of the column, counted from 0
 * @param unit - of its scores, in any word
 */
export function openPoint(
  lines: readonly (readonly string[])[],
  index: number,
  { file, unit }: { readonly file: string; readonly unit: string },
): Extract<Warning, { code: 'score-point-open' }> | undefined {
  if (secondsPer(unit) !== undefined || /^(fps|time|zeit|temps|duration)$/i.test(unit)) return undefined
  const cells = lines.map((row) => (row[index] ?? '').trim()).filter(isScore)
  const withPoint = cells.filter((cell) => cell.includes('.'))
  if (!withPoint.every((cell) => MAY_BE_THOUSANDS.test(cell)) || hasThousands(cells, lines)) return undefined
  const at = lines.findIndex((row) => (row[index] ?? '').trim() === withPoint[0])
  return at < 0 ? undefined : { code: 'score-point-open', file, line: at + 2, cell: withPoint[0]! }
}

function thousandCells(cell: string): string | undefined {
  const plain = cell.replace(/\./g, '').replace(',', '.')
  return isScore(cell) && /[1-9]/.test(plain) ? plain : undefined
}

const NUMBER = /^[+]?\d[\d\s.,:'’]*(\s*[\p{L}%/]+)?$/u
/** No score is longer; the pattern of a number costs the square of a text's length. */
const LONGEST_NUMBER = 80

/** Whether a cell is written as a number, with or without a unit behind it. */
export function isScore(cell: string): boolean {
  return cell.length <= LONGEST_NUMBER && NUMBER.test(cell)
}

function commaUnclear(cell: string, where: InputLocation): InputError {
  return new InputError(
    'score-comma',
    `"${plainText(cell)}" is thousands to some readers and a fraction to others`,
    { where, remedy: 'write thousands without a comma, and decimals with a point' },
  )
}
