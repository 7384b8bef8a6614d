import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { splitRecords } from '../../../src/log/table/splitRecords.js'
import { rfc4180Cases } from '../../certified/logFormats.js'

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

  it('takes any text of plain and quoted cells apart exactly as csv-parse does', () => {
    const plain = fc.string({ unit: fc.constantFrom('a', '1', ' ', '.', ';', '\u00b0') })
    const quoted = fc
      .string({ unit: fc.constantFrom('a', '1', ',', '"', '\n', '\u00b0'), maxLength: 5 })
      .map((text) => `"${text.replaceAll('"', '""')}"`)
    const row = fc.array(fc.oneof(plain, quoted), { minLength: 1, maxLength: 4 })
    fc.assert(
      fc.property(fc.array(row, { minLength: 1 }), (rows) => {
        const text = `${rows.map((cells) => cells.join(',')).join('\n')}\n`
        const records = parse(text, { relax_column_count: true, skip_empty_lines: false })
        expect(split(text).map(({ cells }) => cells)).toEqual(records)
      }),
    )
  })

  it('takes a quote that is closed in the middle of a cell, or nowhere near, for a stray character', () => {
    expect(split('"a"b,c\n1,"2\n3,4')).toEqual([
      { cells: ['ab', 'c'], line: 1 },
      { cells: ['1', '2'], line: 2 },
      { cells: ['3', '4'], line: 3 },
    ])
    expect(split(`"a\n${'b\n'.repeat(8)}c"`)).toHaveLength(10)
    expect(split('5" disk,1\n')).toEqual([{ cells: ['5" disk', '1'], line: 1 }])
  })
})
