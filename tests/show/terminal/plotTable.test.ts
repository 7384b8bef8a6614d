import stringWidth from 'fast-string-width'
import { describe, expect, it } from 'vitest'
import { plotTable } from '../../../src/show/terminal/plotTable.js'

const columns = [
  { heading: 'machine' },
  { heading: 'chip' },
  { heading: 'sustains', align: 'right' },
  { heading: 'steady score', align: 'right' },
] as const
const rows = [
  ['Heron 14', 'Kestrel 16', '44.2 W (44.1 to 44.3)', '11 020 (10 990 to 11 060)'],
  ['Bittern 17, from notes of a colleague', 'Kestrel 16', '71 W (67 to 75)', 'not measured'],
]

describe('a table in the terminal', () => {
  it.each([40, 50, 60, 72, 80, 100, 160])('keeps to %i columns', (width) => {
    const lines = plotTable(columns, rows, { width, colour: false }).split('\n')
    expect(Math.max(...lines.map((line) => stringWidth(line)))).toBeLessThanOrEqual(width)
  })

  it('puts intervals below their figures before it breaks a name', () => {
    const roomy = plotTable(columns, rows, { width: 120, colour: false })
    expect(roomy).toContain('44.2 W (44.1 to 44.3)')
    const narrow = plotTable(columns, rows, { width: 92, colour: false })
    expect(narrow).toMatch(/Bittern 17, from notes of a colleague/)
    expect(narrow).toMatch(/44\.2 W +11 020\n +\(44\.1 to 44\.3\) +\(10 990 to 11 060\)/)
  })

  it('breaks names at their words before it breaks an interval', () => {
    const columns = [{ heading: 'power' }, { heading: 'held by' }]
    const rows = [['601 W (600 to 602)', 'cause unknown']]
    const text = plotTable(columns, rows, { width: 26, colour: false })
    expect(text).toContain('(600 to 602)')
    expect(text).toMatch(/cause *\n/)
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(26)
  })
})
