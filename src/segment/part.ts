import { FAST_S, type Piece, type Series } from './searchPieces.js'

/** One or more pieces in a row that make one behaviour. Indices are those of the series. */
export interface Part {
  readonly from: number
  readonly to: number
  readonly pieces: readonly Piece[]
  /** Fast approach that opened the part, s; 0 when the edge was sharp. */
  readonly softS: number
}

/** A change of less than this share of the power is no stage of its own: a reader calls 100 W and 98.5 W the same. */
export const SAME_SHARE = 0.02

/**
 * A rise up to this share is drift: while a chassis warms, leakage lets the same work draw a few per cent more.
 * Limits come down under load, they don't go up.
 */
export const RISE_SHARE = 0.05

/** Modelled power at a time, W. */
export function partPower(part: Part, series: Series, timeS: number): number {
  let piece = part.pieces[0]!
  for (const next of part.pieces) if (series.timesS[next.from]! <= timeS) piece = next
  return piecePower(piece, series, timeS)
}

export function piecePower(piece: Piece, series: Series, timeS: number): number {
  if (piece.amplitudeW === 0 || !Number.isFinite(piece.tauS)) return piece.levelW
  return piece.levelW + piece.amplitudeW * Math.exp((series.timesS[piece.from]! - timeS) / piece.tauS)
}

export function startPower(part: Part, series: Series): number {
  const first = part.pieces[0]!
  // A fast piece opens with its approach: the level it approaches is what the part is about.
  if (first.tauS < FAST_S) return first.levelW
  return piecePower(first, series, series.timesS[part.from]!)
}

export function endPower(part: Part, series: Series): number {
  const last = part.pieces.at(-1)!
  return piecePower(last, series, series.timesS[part.to - 1]!)
}

/** A part falls or rises as a relaxation when its slow change is more than `SAME_SHARE` of the power. */
export function isDecay(part: Part, series: Series): boolean {
  const change = Math.abs(startPower(part, series) - endPower(part, series))
  return (
    change > 2 * SAME_SHARE * Math.abs(endPower(part, series)) && part.pieces.some((piece) => bends(piece))
  )
}

function bends(piece: Piece): boolean {
  return Number.isFinite(piece.tauS) && piece.tauS >= FAST_S
}
