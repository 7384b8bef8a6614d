import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'

/** Reads a cell of one column: the score with a decimal point; undefined for what is no score above zero. */
export type ScoreCells = (cell: string) => string | undefined

/**
 * How the scores of one column are read, told from all of its cells: a comma is a decimal one where a cell has other than three digits
 * behind it, and no cell has a point. Where another column of the table has decimal commas, a point before three digits is one of thousands.
 *
 * @param cells - those of the column that are not empty
 * @param hasDecimalCommas - of the whole table (`hasDecimalCommas`)
 * @throws InputError `score-comma` where commas may as well be those of thousands
 * @example scoreCells(['112,4', '98'], 'scores.csv')('112,4') // '112.4'
 */
export function scoreCells(cells: readonly string[], file: string, hasDecimalCommas = false): ScoreCells {
  const numbers = cells.filter(isScore)
  const hasThousands =
    hasDecimalCommas && numbers.every((cell) => !cell.includes('.') || THOUSANDS.test(cell))
  if (hasThousands) return thousandCells
  const commas = numbers.filter((cell) => cell.includes(','))
  const isDecimal =
    commas.every((cell) => /^\+?\d+,\d+(\D|$)/.test(cell)) &&
    commas.some((cell) => !/,\d{3}(?!\d)/.test(cell)) &&
    !numbers.some((cell) => cell.includes('.'))
  if (commas.length > 0 && !isDecimal) throw commaUnclear(commas[0]!, file)
  return (cell) => {
    const plain = cell.replace(',', '.')
    return isScore(cell) && /[1-9]/.test(plain) ? plain : undefined
  }
}

/** `9.533` and `1.204.533,5`, as written where a comma is the decimal sign. */
const THOUSANDS = /^\+?\d{1,3}(\.\d{3})+(?![\d.])/

function thousandCells(cell: string): string | undefined {
  const plain = cell.replace(/\./g, '').replace(',', '.')
  return isScore(cell) && /[1-9]/.test(plain) ? plain : undefined
}

/** Whether some cells of a table can only have a decimal comma: digits other than three behind it, and no point. */
export function hasDecimalCommas(lines: readonly (readonly string[])[]): boolean {
  return lines.some((row) => row.some((cell) => DECIMAL_COMMA.test(cell.trim())))
}

const DECIMAL_COMMA = /^\+?\d{1,12},(\d{1,2}|\d{4,9})(?![\d.,])/

const NUMBER = /^[+]?\d[\d\s.,:'’]*(\s*[\p{L}%/]+)?$/u
/** No score is longer; the pattern of a number costs the square of a text's length. */
const LONGEST_NUMBER = 80

/** Whether a cell is written as a number, with or without a unit behind it. */
export function isScore(cell: string): boolean {
  return cell.length <= LONGEST_NUMBER && NUMBER.test(cell)
}

function commaUnclear(cell: string, file: string): InputError {
  return new InputError(
    'score-comma',
    `"${plainText(cell)}" is thousands to some readers and a fraction to others`,
    {
      where: { file },
      remedy: 'write thousands without a comma, and decimals with a point',
    },
  )
}
