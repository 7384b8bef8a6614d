import type { IndexRange } from '../indexRange.js'
import { fitPiece, type Piece, type Series } from './fitPiece.js'
import type { SearchOptions } from './searchPieces.js'

export interface PolishOptions extends SearchOptions {
  /** Steps of golden section for a time constant. */
  readonly polishSteps: number
}

/** Longer series keep the grid's time constants: their pieces are long against them, and polishing costs dozens of passes. */
const MOST_SAMPLES = 40_000
/** Share of the bracket that a step of golden section keeps. */
const GOLDEN = (Math.sqrt(5) - 1) / 2

/**
 * Frees the time constants from the search's grid: gives every bent piece its best one, and makes one of neighbours when one piece with its
 * own best time constant costs less than two. Neither can raise the cost that the search minimised.
 */
export function polishPieces(
  pieces: readonly Piece[],
  series: Series,
  options: PolishOptions,
): readonly Piece[] {
  if (series.timesS.length > MOST_SAMPLES) return pieces
  let polished = pieces.map((piece) =>
    Number.isFinite(piece.tauS) ? bestBent(series, piece, piece, options.polishSteps) : piece,
  )
  for (let merged = true; merged; ) {
    merged = false
    for (let k = 0; k + 1 < polished.length && !merged; k++) {
      const one = mergeTwo(series, polished[k]!, polished[k + 1]!, options)
      if (!one) continue
      polished = [...polished.slice(0, k), one, ...polished.slice(k + 2)]
      merged = true
    }
  }
  return polished
}

/** One piece for two neighbours, if that costs less; only bends are tried, for the search has tried flat ones exactly. */
function mergeTwo(series: Series, a: Piece, b: Piece, options: PolishOptions): Piece | undefined {
  const bends = [a, b].filter((piece) => Number.isFinite(piece.tauS))
  if (bends.length === 0) return undefined
  const lengthS = series.timesS[b.to - 1]! - series.timesS[a.from]!
  const longest = bends.reduce((best, piece) => (piece.tauS > best.tauS ? piece : best))
  const one = bestBent(series, { from: a.from, to: b.to }, longest, options.polishSteps)
  if (one.tauS > lengthS) return undefined
  const skipped = b.from > a.to ? options.skipPenalty : 0
  const saved = options.changePenalty + options.bendPenalty * (bends.length - 1) + skipped
  return one.cost <= a.cost + b.cost + saved ? one : undefined
}

function bestBent(series: Series, { from, to }: IndexRange, near: Piece, steps: number): Piece {
  let low = Math.log(near.tauS / 2.5)
  let high = Math.log(near.tauS * 2.5)
  const at = (logTau: number) => fitPiece(series, from, to, Math.exp(logTau))
  let left = at(high - GOLDEN * (high - low))
  let right = at(low + GOLDEN * (high - low))
  for (let step = 0; step < steps; step++) {
    if (left.cost < right.cost) {
      high = Math.log(right.tauS)
      right = left
      left = at(high - GOLDEN * (high - low))
    } else {
      low = Math.log(left.tauS)
      left = right
      right = at(low + GOLDEN * (high - low))
    }
  }
  const best = left.cost < right.cost ? left : right
  return near.from === from && near.to === to && near.cost <= best.cost ? near : best
}
