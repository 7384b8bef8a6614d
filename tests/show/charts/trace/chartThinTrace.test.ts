import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thinTrace } from '../../../../src/show/charts/trace/chartThinTrace.js'

const panel = { xRange: [0, 1000], widthPx: 100 } as const

describe('thinning a trace', () => {
  it('keeps the highest and the lowest value, their times, and the order of time', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -500, max: 500 }), { minLength: 2, maxLength: 1000 }),
        (values) => {
          const timesS = values.map((_, index) => (index * 1000) / values.length)
          const points = thinTrace({ timesS, values }, panel)
          const ys = points.map((point) => point.y)
          expect(Math.max(...ys)).toBe(Math.max(...values))
          expect(Math.min(...ys)).toBe(Math.min(...values))
          for (const [index, point] of points.entries()) {
            expect(values[timesS.indexOf(point.x)]).toBe(point.y)
            if (index > 0) expect(point.x).toBeGreaterThan(points[index - 1]!.x)
          }
        },
      ),
      { seed: 41, numRuns: 200 },
    )
  })

  it('draws a million samples with no more than two points a column', () => {
    const timesS = Float64Array.from({ length: 1_000_000 }, (_, index) => index / 1000)
    const points = thinTrace({ timesS, values: timesS.map(Math.sin) }, panel)
    expect(points.length).toBeLessThanOrEqual(2 * 100)
  })

  it('leaves out samples without a value', () => {
    expect(thinTrace({ timesS: [0, 500, 900], values: [1, Number.NaN, 3] }, panel)).toEqual([
      { x: 0, y: 1 },
      { x: 900, y: 3 },
    ])
  })
})
