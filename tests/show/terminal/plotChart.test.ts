import { stripVTControlCharacters } from 'node:util'
import stringWidth from 'string-width'
import { describe, expect, it } from 'vitest'
import { chartColumns, plotChart } from '../../../src/show/terminal/plotChart.js'
import { plotCurve } from '../../../src/show/terminal/plotCurve.js'
import { plotParts } from '../../../src/show/terminal/plotParts.js'

const bare = { width: 80, colour: false }

describe('plotChart', () => {
  it('keeps within the width, coloured or not, and says the same in both', () => {
    for (const width of [60, 80, 120, 200]) {
      const columns = chartColumns({ width, colour: false })
      const options = {
        lines: [
          {
            values: Array.from({ length: columns }, (_, i) => Math.sin(i / 9) * 40 + 50),
            ink: 'measured' as const,
          },
        ],
        yRange: [0, 90] as const,
        xTicks: [
          { column: 0, label: '0:00' },
          { column: columns - 1, label: '30:00' },
        ],
        rows: 10,
      }
      const plain = plotChart(options, { width, colour: false })
      const coloured = plotChart(options, { width, colour: true })
      for (const line of plain.split('\n')) expect(stringWidth(line)).toBeLessThanOrEqual(width)
      expect(stripVTControlCharacters(coloured)).toBe(plain)
    }
  })

  it('draws a step of one column at the height of its value', () => {
    const values = new Array(20).fill(10)
    values[10] = 100
    const text = plotChart(
      { lines: [{ values, ink: 'measured' }], yRange: [0, 100], xTicks: [], rows: 11 },
      bare,
    )
    const top = text.split('\n')[0]!
    expect(top).toContain('100 ┤')
    expect(top.slice(9).trim()).toBe('╭╮')
  })
})

describe('plotCurve', () => {
  it('puts a run on the curve where its power and score are', () => {
    const x = [40, 60, 80]
    const text = plotCurve(
      { curves: [{ x, value: [10, 20, 30] }], points: [{ x: 60, y: 20 }], xUnit: 'W' },
      bare,
    )
    const row = text.split('\n').findIndex((line) => line.includes('●'))
    const column = text.split('\n')[row]!.indexOf('●')
    expect(row).toBe(6)
    expect(column).toBe(9 + Math.round((chartColumns(bare) - 1) / 2))
  })
})

describe('plotParts', () => {
  it('draws losses to the left and gains to the right of the middle, in proportion', () => {
    const e = (value: number) => ({ value, low: value - 1, high: value + 1, level: 0.9 })
    const text = plotParts(
      [
        { name: 'chip', percent: e(10) },
        { name: 'watts', percent: e(-20) },
      ],
      bare,
    )
    const [gain, loss] = text.split('\n')
    expect(gain!.indexOf('█')).toBeGreaterThan(gain!.indexOf('│'))
    expect(loss!.indexOf('█')).toBeLessThan(loss!.indexOf('│'))
    expect(Math.abs(loss!.split('█').length - 1 - 2 * (gain!.split('█').length - 1))).toBeLessThanOrEqual(1)
  })
})
