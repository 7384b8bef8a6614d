import { InputError } from '../../errors.js'
import { electricUnitOf } from './electricUnit.js'
import { headOf } from './headOf.js'
import { plainText } from './plainText.js'
import { DELIMITERS } from './recordScanner.js'
import { splitRecords } from './splitRecords.js'

/** No header was found: with the formula to give where a line has voltage and current in place of a power. */
export function missingHeader(text: string): InputError {
  const names = voltageAndCurrent(headOf(text, FEW_LINES))
  const what = 'found no header line with a power or energy column above rows of numbers'
  if (names === undefined)
    return new InputError('header-missing', what, {
      remedy: 'name the columns with their units in a line above the rows, e.g. "time_s,power_w"',
    })
  const product = names.map((name) => (/^[A-Za-z]\w*$/.test(name) ? name : `"${name}"`)).join(' * ')
  const quote = product.includes('"') ? "'" : '"'
  return new InputError('header-missing', `${what}, but voltage and current`, {
    remedy: `work the power out of them: --power ${quote}${product}${quote}`,
  })
}

const FEW_LINES = 120

/** Names of a voltage and a current in one line of the head. */
function voltageAndCurrent(head: string): readonly [string, string] | undefined {
  let found: readonly [string, string] | undefined
  for (const delimiter of DELIMITERS.filter((each) => head.includes(each))) {
    splitRecords(head, delimiter, (cells) => {
      const named = (dimension: 'voltage' | 'current') =>
        cells.find((cell) => /^\p{L}/u.test(cell.trim()) && electricUnitOf(cell, [])?.dimension === dimension)
      const [voltage, current] = [named('voltage'), named('current')]
      if (voltage !== undefined && current !== undefined)
        found ??= [plainText(voltage.trim(), 60), plainText(current.trim(), 60)]
    })
  }
  return found
}
