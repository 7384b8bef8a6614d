import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { splitRecords } from '../../src/log/splitRecords.js'
import { rfc4180Cases } from '../certified/logFormats.js'

const split = (text: string, delimiter: ',' | ';' = ','): { cells: string[]; line: number }[] => {
  const found: { cells: string[]; line: number }[] = []
  splitRecords(text, delimiter, (cells, line) => found.push({ cells: [...cells], line }))
  return found
}

describe('splitRecords', () => {
  it.each(rfc4180Cases)('splits $text as RFC 4180, section 2, says', ({ text, records }) => {
    expect(split(text).map(({ cells }) => cells)).toEqual(records)
  })

  it('counts lines of the file, blank ones and those inside quotes included', () => {
    expect(split('a\n\n"b\nc",d\r\ne\rf').map(({ line }) => line)).toEqual([1, 2, 3, 5, 6])
  })

  it('takes unquoted text apart exactly as the tokeniser does', () => {
    const cell = fc.string({ unit: fc.constantFrom('a', '1', ' ', '.', ';', '\u00b0') })
    fc.assert(
      fc.property(fc.array(fc.array(cell, { minLength: 1, maxLength: 4 }), { minLength: 1 }), (rows) => {
        const text = `${rows.map((row) => row.join(',')).join('\n')}\n`
        // A quoted record at the end makes the whole text go through the tokeniser.
        expect(split(`${text}"x"\n`).slice(0, -1)).toEqual(split(text))
      }),
    )
  })
})
