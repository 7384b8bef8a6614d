import fc from 'fast-check'
import fastStringWidth from 'fast-string-width'
import stringWidth from 'string-width'
import { expect, it } from 'vitest'

// Letters of many scripts, wide ones, signs that the tables and pictures print, and colours: all that names of sensors and files hold.
const PIECES = [
  'W',
  'é',
  'Ж',
  'λ',
  '–',
  '×',
  '…',
  '°',
  '│',
  '█',
  '▒',
  '功',
  '率',
  'カ',
  '전',
  '，',
  '👍',
  '👩‍🔬',
  'e\u0301',
  '\u001b[31m',
  '\u001b[0m',
]

it('columns of a text are those that another library counts', () => {
  fc.assert(
    fc.property(fc.array(fc.constantFrom(...PIECES), { maxLength: 30 }), (pieces) => {
      const text = pieces.join('')
      expect(fastStringWidth(text)).toBe(stringWidth(text))
    }),
  )
})
