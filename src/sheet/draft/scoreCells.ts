import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'

/** Reads a cell of one column: the score with a decimal point; undefined for what is no score above zero. */
export type ScoreCells = (cell: string) => string | undefined

/**
 * How the scores of one column are read, told from all of its cells: a comma is a decimal one where a cell has other than three digits
 * behind it, and no cell has a point.
 *
 * @param cells - those of the column that are not empty
 * @throws InputError `score-comma` where commas may as well be those of thousands
 * @example scoreCells(['112,4', '98'], 'scores.csv')('112,4') // '112.4'
 */
export function scoreCells(cells: readonly string[], file: string): ScoreCells {
  const numbers = cells.filter(isScore)
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
