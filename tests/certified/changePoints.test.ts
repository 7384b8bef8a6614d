import { describe, expect, it } from 'vitest'
import { findChangePoints } from '../../src/numeric/changePoints/findChangePoints.js'
import { segmentByCount } from '../../src/numeric/changePoints/segmentByCount.js'
import published from './changePoints.json' with { type: 'json' }

function seriesNamed(name: string): (typeof published.series)[number] {
  return published.series.find((series) => series.name === name)!
}

// The source of each series and of its breaks is named beside its data.
describe('published change points', () => {
  const nile = seriesNamed('Nile')

  it('the Nile falls once, after 1898', () => {
    expect(findChangePoints(nile.data).edges).toEqual([1899 - 1871])
  })

  it('the Nile has the published breaks and residual sums for 0 to 5 breaks of at least 15 years', () => {
    const cuts = segmentByCount(nile.data, { maxEdges: 5, minLength: 15 })
    for (const [k, row] of nile.breaks!.entries()) {
      expect(cuts[k]!.edges).toEqual(row.edges)
      expect(Math.abs(cuts[k]!.residualSumOfSquares / row.residualSumOfSquares - 1)).toBeLessThan(1e-8)
    }
  })

  it("the Nile's published BIC values follow, and its least is at one break", () => {
    const n = nile.data.length
    const bic = segmentByCount(nile.data, { maxEdges: 5, minLength: 15 }).map(
      ({ residualSumOfSquares }, m) =>
        n * (Math.log(residualSumOfSquares / n) + 1 + Math.log(2 * Math.PI)) + (2 * m + 2) * Math.log(n),
    )
    for (const [k, row] of nile.breaks!.entries()) expect(bic[k]).toBeCloseTo(row.bic, 3)
    expect(bic.indexOf(Math.min(...bic))).toBe(1)
  })

  it('a penalty between the gains of the first and the second break gives one break of at least 15 years', () => {
    const { edges, residualSumOfSquares } = findChangePoints(nile.data, { penalty: 1e5, minLength: 15 })
    expect(edges).toEqual([28])
    expect(residualSumOfSquares).toBeCloseTo(1597457.19, 1)
  })

  it('quality control series 5, which has no change, shows none, with either loss', () => {
    const { data } = seriesNamed('quality_control_5')
    expect(findChangePoints(data).edges).toEqual([])
    expect(findChangePoints(data, { loss: 'biweight' }).edges).toEqual([])
  })

  it('quality control series 2 and 3 show their one change and no other, 3 in spite of its outlier', () => {
    // Annotators differ by 1 to 3 samples; within 1 of the known change is asked for.
    for (const name of ['quality_control_2', 'quality_control_3']) {
      const { data, known } = seriesNamed(name)
      const { edges } = findChangePoints(data)
      expect(edges).toHaveLength(1)
      expect(Math.abs(edges[0]! - known!)).toBeLessThanOrEqual(1)
    }
  })

  it('quality control series 1, whose noise sits on a trend, shows its change among the pieces of the trend', () => {
    const { data, known } = seriesNamed('quality_control_1')
    const nearest = Math.min(...findChangePoints(data).edges.map((edge) => Math.abs(edge - known!)))
    expect(nearest).toBeLessThanOrEqual(3)
  })

  it('quality control series 4, periodic with an offset, has the offset among its three best edges', () => {
    // Two of five annotators see no change in it; neither does the default, which takes the periods for correlated noise.
    const { data, known } = seriesNamed('quality_control_4')
    const { edges } = segmentByCount(data, { maxEdges: 3, minLength: 10 })[3]!
    expect(Math.min(...edges.map((edge) => Math.abs(edge - known!)))).toBeLessThanOrEqual(1)
  })

  it('the well log has the nine edges that four of five annotators agree on, and at most two more, under the robust loss', () => {
    const { data, agreed } = seriesNamed('well_log')
    const { edges } = findChangePoints(data, { loss: 'biweight' })
    for (const edge of agreed!) {
      expect(Math.min(...edges.map((found) => Math.abs(found - edge)))).toBeLessThanOrEqual(1)
    }
    expect(edges.length).toBeLessThanOrEqual(agreed!.length + 2)
  })

  it('the squared loss cuts the well log at its outliers: that is why there is a robust one', () => {
    const { data, agreed } = seriesNamed('well_log')
    expect(findChangePoints(data).edges.length).toBeGreaterThan(agreed!.length + 5)
  })

  it('least squares puts the change of the coal series after 36 years, as published', () => {
    const { data, leastSquares } = seriesNamed('coal')
    expect(findChangePoints(data, { minLength: 17 }).edges).toEqual([leastSquares])
    expect(segmentByCount(data, { maxEdges: 1, minLength: 17 })[1]!.edges).toEqual([leastSquares])
  })
})
