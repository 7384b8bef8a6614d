/** The decimal mark of a column. */
export type DecimalMark = '.' | ','

/**
 * Number in a cell, NaN when it is none. Thousands separators (the other mark, spaces, apostrophes) are allowed in groups of three.
 *
 * @param text - trimmed
 * @param mark - decimal mark of the column
 * @example parseNumber('1.234,5', ',') // 1234.5
 */
export function parseNumber(text: string, mark: DecimalMark): number {
  if (mark === '.' && PLAIN.test(text)) return Number(text)
  if (mark === ',' && PLAIN_COMMA.test(text)) return Number(text.replace(',', '.'))
  const spaceless = text.replace(/(?<=\d)[\s'’](?=\d{3})/g, '').replace('−', '-')
  const grouped = mark === '.' ? GROUPED : GROUPED_COMMA
  if (grouped.test(spaceless)) {
    return Number(
      mark === '.' ? spaceless.replaceAll(',', '') : spaceless.replaceAll('.', '').replace(',', '.'),
    )
  }
  const rest = mark === '.' ? spaceless : spaceless.replace(',', '.')
  return PLAIN.test(rest) ? Number(rest) : Number.NaN
}

/**
 * Decimal mark of a column, from its cells: a mark that is followed by anything but three digits, or comes after the
 * other mark, is decimal. Cells that leave it open (`1,234`) are settled by `fallback`.
 *
 * @param cells - cells of one column; those without marks say nothing
 * @param fallback - what to take when no cell decides
 * @example findDecimalMark(['1.234', '12,5'], '.') // ','
 */
export function findDecimalMark(cells: readonly string[], fallback: DecimalMark): DecimalMark {
  let [points, commas] = [0, 0]
  const stride = Math.max(1, Math.floor(cells.length / CELLS_LOOKED_AT))
  for (let i = 0; i < cells.length; i += stride) {
    const mark = markOf(cells[i]!)
    if (mark === '.') points++
    if (mark === ',') commas++
  }
  return points === commas ? fallback : points > commas ? '.' : ','
}

// Enough to decide, also where most cells leave it open; evenly spread over a long column.
const CELLS_LOOKED_AT = 5000
// As for any cell of numbers: a longer one is text.
const LONGEST_NUMBER = 256
const PLAIN = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?$/
const PLAIN_COMMA = /^[-+]?(?:\d+,?\d*|,\d+)(?:[eE][-+]?\d+)?$/
const GROUPED = /^[-+]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$/
const GROUPED_COMMA = /^[-+]?\d{1,3}(?:\.\d{3})+(?:,\d*)?$/

/** The mark that a cell shows to be the decimal one; undefined when it has none or leaves it open (`1,234`). */
export function markOf(cell: string): DecimalMark | undefined {
  if (cell.length > LONGEST_NUMBER) return undefined
  const point = cell.lastIndexOf('.')
  const comma = cell.lastIndexOf(',')
  if (point === -1 && comma === -1) return undefined
  if (point !== -1 && comma !== -1) return point > comma ? '.' : ','
  const mark = point === -1 ? ',' : '.'
  if (cell.indexOf(mark) !== cell.lastIndexOf(mark)) return marksOfGroups(cell, mark)
  const digitsAfter = /^\d*/.exec(cell.slice(cell.indexOf(mark) + 1))![0].length
  const before = cell.slice(0, cell.indexOf(mark)).replace(/\D/g, '')
  const couldBeGroup =
    digitsAfter === 3 && before.length >= 1 && before.length <= 3 && !before.startsWith('0')
  return couldBeGroup ? undefined : mark
}

/** Several equal marks separate thousands, unless it is a date or a version. */
function marksOfGroups(cell: string, mark: DecimalMark): DecimalMark | undefined {
  const grouped = mark === ',' ? GROUPED : GROUPED_COMMA
  return grouped.test(cell.trim()) ? (mark === ',' ? '.' : ',') : undefined
}
