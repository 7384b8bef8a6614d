import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { FAST_S, fitPiece, type Series } from '../../../src/segment/cut/fitPiece.js'
import { polishPieces } from '../../../src/segment/cut/polishPieces.js'
import { searchPieces } from '../../../src/segment/cut/searchPieces.js'
import { tauGrid } from '../../../src/segment/cut/summariseCells.js'

const PENALTIES = {
  changePenalty: 6,
  bendPenalty: 4,
  skipPenalty: Number.POSITIVE_INFINITY,
  minLength: 2,
  tauFactor: 1.5,
}

describe('searchPieces', () => {
  it('finds the least cost of all cuts, as trying every cut does', () => {
    for (let seed = 1; seed <= 12; seed++) {
      const series = makeSeries(seed, 14)
      const candidates = Array.from({ length: 14 }, (_, i) => i)
      const pieces = searchPieces(series, { ...PENALTIES, candidates })
      expect(totalCost(pieces.map((piece) => ({ ...piece })))).toBeCloseTo(cheapest(series), 3)
    }
  })

  it('finds it too where samples are uneven or set aside and pieces begin at some of them; leaving out samples lowers it, though not always to the least', () => {
    let [exact, missed] = [0, 0]
    for (let seed = 1; seed <= 60; seed++) {
      const random = seededRandom(1000 + seed)
      const even = makeSeries(seed, 16)
      const timesS = Float64Array.from(even.timesS, (t) => 1.7 * t + random.uniform())
      const weights = even.weights.map(() => (random.uniform() < 0.15 ? 0 : 1))
      const series = { ...even, timesS, weights }
      const options = {
        ...PENALTIES,
        skipPenalty: [0.5, 2, Number.POSITIVE_INFINITY][seed % 3]!,
        minLength: 2 + (seed % 2),
        noFastFallAtStart: seed % 5 < 2,
        candidates: Array.from({ length: 16 }, (_, i) => i).filter((i) => i === 0 || random.uniform() < 0.8),
      }
      const pieces = searchPieces(series, options)
      const left = pieces.filter((piece, k) => k > 0 && piece.from > pieces[k - 1]!.to).length
      const cost = totalCost(pieces) + (left > 0 ? left * options.skipPenalty : 0)
      const least = cheapestOf(series, options)
      if (options.skipPenalty === Number.POSITIVE_INFINITY) expect(cost).toBeCloseTo(least, 3)
      else {
        expect(cost).toBeGreaterThan(least - 1e-3)
        expect(cost).toBeLessThan(
          cheapestOf(series, { ...options, skipPenalty: Number.POSITIVE_INFINITY }) + 1e-3,
        )
        if (cost < least + 1e-3) exact++
        else missed++
      }
    }
    // Two edges side by side are rare.
    expect(exact).toBeGreaterThan(9 * missed)
  })

  it('a step with an in-between sample leaves that sample to neither side', () => {
    const powerW = Float64Array.from({ length: 60 }, (_, i) => (i < 30 ? 100 : i === 30 ? 88 : 60))
    const series = { ...makeSeries(1, 60), powerW }
    const pieces = searchPieces(series, {
      ...PENALTIES,
      skipPenalty: 2,
      candidates: Array.from({ length: 60 }, (_, i) => i),
    })
    expect(pieces.map(({ from, to }) => [from, to])).toEqual([
      [0, 30],
      [31, 60],
    ])
  })

  it('a relaxation is one bent piece with its time constant, not a staircase', () => {
    const random = seededRandom(7)
    const n = 400
    const timesS = Float64Array.from({ length: n }, (_, i) => i)
    const powerW = timesS.map((t) => 60 + 40 * Math.exp(-t / 50) + 0.5 * random.normal())
    const series = seriesOf(timesS, powerW)
    const candidates = Array.from({ length: n }, (_, i) => i)
    const unit = 0.25 * Math.log(n)
    const options = {
      candidates,
      changePenalty: 3 * unit,
      bendPenalty: 2 * unit,
      skipPenalty: unit,
      minLength: 2,
      tauFactor: 1.5,
      polishSteps: 14,
    }
    const pieces = polishPieces(searchPieces(series, options), series, options)
    expect(pieces).toHaveLength(1)
    expect(pieces[0]!.tauS).toBeGreaterThan(47)
    expect(pieces[0]!.tauS).toBeLessThan(53)
    expect(pieces[0]!.levelW).toBeCloseTo(60, 0)
  })
})

function makeSeries(seed: number, n: number): Series {
  const random = seededRandom(seed)
  const timesS = Float64Array.from({ length: n }, (_, i) => i)
  const split = 3 + random.integer(n - 6)
  return seriesOf(
    timesS,
    timesS.map((t) => (t < split ? 4 : 10 * Math.exp(-(t - split) / 4)) + random.normal()),
  )
}

function seriesOf(timesS: Float64Array, powerW: Float64Array): Series {
  return { timesS, powerW, weights: new Uint8Array(timesS.length).fill(1), averaged: true, closes: true }
}

function totalCost(pieces: readonly { readonly cost: number; readonly tauS: number }[]): number {
  const bent = pieces.filter(({ tauS }) => Number.isFinite(tauS)).length
  const cost = pieces.reduce((sum, piece) => sum + piece.cost, 0)
  return cost + PENALTIES.changePenalty * (pieces.length - 1) + PENALTIES.bendPenalty * bent
}

/** Least cost over every cut and every shape, by recursion over the first piece. */
function cheapest(series: Series, from = 0): number {
  const n = series.timesS.length
  if (from === n) return -PENALTIES.changePenalty
  const spanS = series.timesS[n - 1]! - series.timesS[0]!
  const taus = tauGrid(Math.max((0.8 * spanS) / (n - 1), 0.3), spanS, 1.5)
  let best = Number.POSITIVE_INFINITY
  for (let to = from + PENALTIES.minLength; to <= n; to++) {
    const lengthS = (to < n ? series.timesS[to]! : series.timesS[n - 1]!) - series.timesS[from]!
    let own = fitPiece(series, from, to, Number.POSITIVE_INFINITY).cost
    for (const tauS of taus) {
      if (to - from < PENALTIES.minLength + 2 || lengthS < tauS) continue
      own = Math.min(own, fitPiece(series, from, to, tauS).cost + PENALTIES.bendPenalty)
    }
    const rest = cheapest(series, to)
    best = Math.min(best, own + rest + PENALTIES.changePenalty)
  }
  return best
}

/** The same from the definition with all of its options; what follows a place is worked out once. */
function cheapestOf(series: Series, options: Parameters<typeof searchPieces>[1]): number {
  const { timesS } = series
  const n = timesS.length
  const spanS = timesS[n - 1]! - timesS[0]!
  const taus = tauGrid(Math.max((0.8 * spanS) / (n - 1), 0.3), spanS, options.tauFactor)
  const places = [...options.candidates, n]
  const costFrom = (from: number, to: number): number => {
    if (to - from < options.minLength) return Number.POSITIVE_INFINITY
    const lengthS = (to < n ? timesS[to]! : timesS[n - 1]!) - timesS[from]!
    const bent = taus.flatMap((tauS) => {
      if (to - from < options.minLength + 2 || lengthS < tauS) return []
      const piece = fitPiece(series, from, to, tauS)
      const isSwallowedBurst =
        from === 0 && options.noFastFallAtStart && piece.amplitudeW > 0 && tauS < FAST_S
      return isSwallowedBurst ? [] : [piece.cost + options.bendPenalty]
    })
    return Math.min(fitPiece(series, from, to, Number.POSITIVE_INFINITY).cost, ...bent)
  }
  const known = new Map<number, number>()
  const from = (k: number): number => {
    if (places[k] === n) return 0
    const before = known.get(k)
    if (before !== undefined) return before
    let best = Number.POSITIVE_INFINITY
    for (let end = k + 1; end < places.length; end++) {
      const own = costFrom(places[k]!, places[end]!)
      const change = places[end] === n ? 0 : options.changePenalty
      best = Math.min(best, own + change + from(end))
      // The one sample between two pieces belongs to neither.
      if (end + 1 < places.length - 1 && places[end + 1]! - places[end]! === 1)
        best = Math.min(best, own + change + options.skipPenalty + from(end + 1))
    }
    known.set(k, best)
    return best
  }
  return from(0)
}
