import { describe, expect, it } from 'vitest'
import { fitPiece, type Series } from '../../../src/segment/cut/fitPiece.js'

function seriesOf(powerW: readonly number[], weights: readonly number[] = powerW.map(() => 1)): Series {
  return {
    timesS: Float64Array.from(powerW, (_, i) => 50 + 2 * i),
    powerW: Float64Array.from(powerW),
    weights: Uint8Array.from(weights),
    averaged: true,
    closes: false,
  }
}

describe('a piece', () => {
  it('that is flat has the mean of its samples, and their squares about it as cost', () => {
    const piece = fitPiece(seriesOf([9, 1, 2, 6, 9]), 1, 4, Number.POSITIVE_INFINITY)
    // Mean of 1, 2, 6; squares 4 + 1 + 9.
    expect(piece).toEqual({
      from: 1,
      to: 4,
      levelW: 3,
      amplitudeW: 0,
      tauS: Number.POSITIVE_INFINITY,
      cost: 14,
    })
  })

  it('leaves out the samples that are set aside', () => {
    const piece = fitPiece(seriesOf([1, 500, 2, 6], [1, 0, 1, 1]), 0, 4, Number.POSITIVE_INFINITY)
    expect(piece.levelW).toBe(3)
    expect(piece.cost).toBe(14)
    expect(fitPiece(seriesOf([1, 2, 3], [0, 0, 0]), 0, 3, 5)).toMatchObject({
      levelW: 0,
      amplitudeW: 0,
      cost: 0,
    })
  })

  it('finds level and amplitude of an exponential that the samples follow', () => {
    const powerW = Array.from({ length: 40 }, (_, i) => 80 + 20 * Math.exp((-2 * (i - 5)) / 12))
    const piece = fitPiece(seriesOf(powerW), 5, 40, 12)
    expect(piece.levelW).toBeCloseTo(80, 9)
    expect(piece.amplitudeW).toBeCloseTo(20, 9)
    expect(piece.cost).toBeCloseTo(0, 9)
  })

  it('is least squares: what it leaves over is orthogonal to a constant and to the exponential, and is its cost', () => {
    const powerW = [90, 71, 66, 55, 58, 51, 400, 53, 50, 52]
    const weights = [1, 1, 1, 1, 1, 1, 0, 1, 1, 1]
    const { levelW, amplitudeW, cost } = fitPiece(seriesOf(powerW, weights), 0, 10, 4)
    const shape = powerW.map((_, i) => Math.exp((-2 * i) / 4))
    const left = powerW.map((watts, i) => weights[i]! * (watts - levelW - amplitudeW * shape[i]!))
    const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
    expect(sum(left)).toBeCloseTo(0, 9)
    expect(sum(left.map((watts, i) => watts * shape[i]!))).toBeCloseTo(0, 9)
    expect(cost).toBeCloseTo(sum(left.map((watts) => watts * watts)), 8)
  })

  it('has no amplitude where its time constant is too long to bend at all', () => {
    expect(fitPiece(seriesOf([1, 2, 3]), 0, 3, 1e9)).toMatchObject({ amplitudeW: 0, levelW: 2 })
  })
})
