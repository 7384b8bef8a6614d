import fc from 'fast-check'
import Papa from 'papaparse'
import { describe, expect, it } from 'vitest'
import { csvTables } from '../../../src/show/tables/csvTable.js'
import { type DataTable, dataTable } from '../../../src/show/tables/dataTable.js'
import { htmlTables } from '../../../src/show/tables/htmlTable.js'
import { markdownTables } from '../../../src/show/tables/markdownTable.js'
import { evenDoubles } from '../../evenDoubles.js'

interface Row {
  readonly name: string
  readonly score: {
    readonly value: number
    readonly low: number
    readonly high: number
    readonly level: number
  } | null
}

const table = (rows: readonly Row[]): DataTable =>
  dataTable('Scores', rows, [
    { name: 'name', of: (row) => row.name },
    { name: 'score', unit: 'points', interval: true, of: (row) => row.score },
  ])

const wren: Row = { name: 'Wren', score: { value: 44.213, low: 43.92, high: 44.48, level: 0.9 } }

describe('a table taken out of the tool', () => {
  it('has intervals as columns of their own, with the digits that they support, ends rounded outwards', () => {
    const { headings, rows } = table([wren])
    expect(headings).toEqual(['name', 'score (points)', 'score low', 'score high'])
    expect(rows).toEqual([['Wren', 44.2, 43.9, 44.5]])
  })

  it('keeps its columns where nothing is known', () => {
    expect(table([{ name: 'Wren', score: null }]).rows).toEqual([['Wren', '', '', '']])
    expect(table([]).headings).toHaveLength(4)
  })

  it('never narrows an interval', () => {
    const finite = fc.oneof(fc.double({ min: -1e6, max: 1e6, noNaN: true }), evenDoubles(-1e6, 1e6))
    fc.assert(
      fc.property(fc.tuple(finite, finite, finite), (drawn) => {
        const [low, value, high] = [...drawn].sort((a, b) => a - b) as [number, number, number]
        fc.pre(high - low > 1e-3)
        const [, , printedLow, printedHigh] = table([{ name: '', score: { value, low, high, level: 0.9 } }])
          .rows[0]!
        // A bound a billionth of a step away from a round number is that number; a step is less than the interval, or the value's eighth digit.
        const slack = 1e-9 * (high - low) + 1e-15 * Math.max(-low, high)
        expect(printedLow as number).toBeLessThanOrEqual(low + slack)
        expect(printedHigh as number).toBeGreaterThanOrEqual(high - slack)
      }),
    )
  })
})

describe('CSV', () => {
  it('comes back from a reader as it went in, whatever names hold', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: 'binary' }), { minLength: 1, maxLength: 5 }), (names) => {
        fc.pre(names.every((name) => !/^[=+\-@\t\r]/.test(name) && !/[\r\n]/.test(name)))
        const text = csvTables([table(names.map((name) => ({ ...wren, name })))])
        const read = Papa.parse<string[]>(text, { delimiter: ',', newline: '\n' }).data
        expect(read.slice(1).map((row) => row[0])).toEqual(names)
      }),
    )
  })

  it('gives a spreadsheet no formula to run', () => {
    const text = csvTables([table([{ ...wren, name: '=HYPERLINK("x")' }])])
    expect(text.split('\n')[1]).toMatch(/^"'=HYPERLINK/)
  })
})

describe('Markdown and HTML', () => {
  const hostile = { ...wren, name: '<img src=x onerror=alert(1)> | **x** [a](javascript:b)' }

  it('show names as text', () => {
    expect(markdownTables([table([hostile])])).not.toMatch(/<img|(?<!\\)\]\(javascript|(?<!\\)\*\*x/)
    expect(htmlTables([table([hostile])])).not.toContain('<img')
  })

  it('line numbers up on the right', () => {
    expect(markdownTables([table([wren])]).split('\n')[1]).toBe(
      '| :--- | -------------: | --------: | ---------: |',
    )
    expect(htmlTables([table([wren])])).toContain('<td align="right">44.2</td>')
  })
})
