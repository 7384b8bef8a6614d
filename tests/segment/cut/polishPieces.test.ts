import { describe, expect, it } from 'vitest'
import { fitPiece, type Piece, type Series } from '../../../src/segment/cut/fitPiece.js'
import { polishPieces } from '../../../src/segment/cut/polishPieces.js'

const FLAT = Number.POSITIVE_INFINITY
const OPTIONS = {
  candidates: [0],
  tauFactor: 1.5,
  polishSteps: 24,
  changePenalty: 6,
  bendPenalty: 4,
  skipPenalty: 2,
  minLength: 2,
}

function seriesOf(count: number, powerAt: (t: number) => number): Series {
  const timesS = Float64Array.from({ length: count }, (_, i) => i)
  return {
    timesS,
    powerW: timesS.map(powerAt),
    weights: new Uint8Array(count).fill(1),
    averaged: true,
    closes: true,
  }
}
const relaxing = (tauS: number) => (t: number) => 60 + 30 * Math.exp(-t / tauS)
/** Ups and downs that no piece follows. */
const ripple = (t: number) => [0.3, -0.1, -0.4, 0.2][t % 4]!
const shape = ({ from, to, tauS }: Piece) => [from, to, Number.isFinite(tauS)]

describe('a bent piece', () => {
  it('gets its own best time constant, longer or shorter than the grid’s', () => {
    const series = seriesOf(200, relaxing(50))
    for (const gridS of [25, 40, 62, 110]) {
      const [piece, ...others] = polishPieces([fitPiece(series, 0, 200, gridS)], series, OPTIONS)
      expect(others).toEqual([])
      expect(piece!.tauS).toBeCloseTo(50, 1)
      expect(piece!.levelW).toBeCloseTo(60, 2)
      expect(piece!.cost).toBeLessThan(1e-4)
    }
  })

  it('gets one no further off than a factor of 2.5', () => {
    const series = seriesOf(400, relaxing(50))
    for (const [gridS, endS] of [
      [10, 25],
      [200, 80],
    ] as const)
      expect(polishPieces([fitPiece(series, 0, 400, gridS)], series, OPTIONS)[0]!.tauS).toBeCloseTo(endS, 0)
  })

  it('is as near as the steps bring it: each keeps 0.618 of the bracket', () => {
    const series = seriesOf(300, relaxing(50))
    for (const [polishSteps, within] of [
      [4, Math.log(2.5 ** 2) * 0.618 ** 5],
      [12, Math.log(2.5 ** 2) * 0.618 ** 13],
    ] as const) {
      const [piece] = polishPieces([fitPiece(series, 0, 300, 71)], series, { ...OPTIONS, polishSteps })
      expect(Math.abs(Math.log(piece!.tauS / 50))).toBeLessThan(within)
    }
  })

  it('stays the very one where no other costs less', () => {
    const series = seriesOf(200, (t) => relaxing(50)(t))
    const exact = fitPiece(series, 0, 200, 50)
    expect(polishPieces([exact], series, OPTIONS)[0]).toBe(exact)
    const flat = fitPiece(series, 0, 200, FLAT)
    expect(polishPieces([flat], series, OPTIONS)[0]).toBe(flat)
  })

  it('keeps the grid’s in a series of more than 40,000 samples', () => {
    const long = seriesOf(40_001, relaxing(9000))
    const piece = fitPiece(long, 0, 40_001, 6000)
    expect(polishPieces([piece], long, OPTIONS)).toEqual([piece])
    const short = seriesOf(40_000, relaxing(9000))
    const few = { ...OPTIONS, polishSteps: 6 }
    expect(polishPieces([fitPiece(short, 0, 40_000, 6000)], short, few)[0]!.tauS).toBeGreaterThan(7500)
  })
})

describe('neighbours', () => {
  const series = seriesOf(200, (t) => relaxing(50)(t) + ripple(t))
  const two = (a: readonly [number, number, number], b: readonly [number, number, number], of = series) =>
    [a, b].map(([from, to, tauS]) => fitPiece(of, from, to, tauS))

  it('that follow one relaxation become one, bent both or one of them, whatever was left out between', () => {
    for (const pieces of [
      two([0, 90, 40], [90, 200, 62]),
      two([0, 150, 40], [150, 200, FLAT]),
      two([0, 90, 40], [91, 200, 62]),
    ])
      expect(polishPieces(pieces, series, OPTIONS).map(shape)).toEqual([[0, 200, true]])
  })

  it('become one, one after the other, however many there are', () => {
    const pieces = [0, 50, 100, 150].map((from) => fitPiece(series, from, from + 50, 40))
    expect(polishPieces(pieces, series, OPTIONS).map(shape)).toEqual([[0, 200, true]])
    // The last two alone: the first stretch is another level.
    const stepped = seriesOf(250, (t) => (t < 50 ? 120 : relaxing(50)(t - 50)) + ripple(t))
    const three = [fitPiece(stepped, 0, 50, FLAT), ...two([50, 140, 40], [140, 250, 62], stepped)]
    expect(polishPieces(three, stepped, OPTIONS).map(shape)).toEqual([
      [0, 50, false],
      [50, 250, true],
    ])
  })

  it('stay two where both are flat: the search has tried that', () => {
    const flat = two([0, 90, FLAT], [90, 200, FLAT])
    expect(polishPieces(flat, series, { ...OPTIONS, changePenalty: 1e9 })).toEqual(flat)
  })

  it('stay two where one would hardly have come to rest: its time constant is longer than both', () => {
    const slow = seriesOf(60, (t) => 90 - 0.2 * t)
    const pieces = two([0, 30, 25], [30, 60, 25], slow)
    const dear = { ...OPTIONS, changePenalty: 1e9 }
    const polished = polishPieces(pieces, slow, dear)
    expect(polished.map(shape)).toEqual([
      [0, 30, true],
      [30, 60, true],
    ])
  })

  it('become one exactly where it costs no more: a change, a bend where both are bent, a sample that was left out', () => {
    const step = (watts: number) => seriesOf(200, (t) => relaxing(50)(t) + ripple(t) + (t < 100 ? 0 : watts))
    /** The penalty of a change from which on two become one. */
    const turningPoint = (of: Series, pieces: readonly Piece[]) => {
      let [low, high] = [-1e4, 1e4]
      for (let i = 0; i < 40; i++) {
        const middle = (low + high) / 2
        if (polishPieces(pieces, of, { ...OPTIONS, changePenalty: middle }).length === 1) high = middle
        else low = middle
      }
      return high
    }
    const of = step(-4)
    const costOf = (pieces: readonly Piece[]) => pieces.reduce((sum, { cost }) => sum + cost, 0)
    const polishedAlone = (pieces: readonly Piece[]) =>
      polishPieces(pieces, of, { ...OPTIONS, changePenalty: -1e9 }) as readonly [Piece, Piece]
    const one = (pieces: readonly Piece[]) =>
      polishPieces(pieces, of, { ...OPTIONS, changePenalty: 1e9 })[0]!.cost
    for (const [pieces, others] of [
      [two([0, 100, 40], [100, 200, 40], of), OPTIONS.bendPenalty],
      [two([0, 100, 40], [100, 200, FLAT], of), 0],
      [two([0, 100, 40], [101, 200, FLAT], of), OPTIONS.skipPenalty],
      [two([0, 100, 40], [101, 200, 40], of), OPTIONS.bendPenalty + OPTIONS.skipPenalty],
    ] as const) {
      const exact = one(pieces) - costOf(polishedAlone(pieces)) - others
      expect(turningPoint(of, pieces)).toBeCloseTo(exact, 4)
    }
  })
})
