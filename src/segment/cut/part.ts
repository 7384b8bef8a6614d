import { FAST_S, type Piece, type Series } from './fitPiece.js'

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
  if (first.tauS < FAST_S && first.from >= part.from) return first.levelW
  return partPower(part, series, series.timesS[part.from]!)
}

export function endPower(part: Part, series: Series): number {
  return partPower(part, series, series.timesS[part.to - 1]!)
}

/** Modelled power at the very start, the fast approach included. */
export function openingPower(part: Part, series: Series): number {
  return piecePower(part.pieces[0]!, series, series.timesS[part.from]!)
}

/** A controller has brought power to a set limit within this time: five of its time constants of 2 s. What falls later gives way. */
export const APPROACH_S = 10

/**
 * A part is a relaxation when, after any controller's approach is over, power still falls by more than 3 % of itself. Power that
 * rises while a chassis warms is a level that drifts.
 */
export function isDecay(part: Part, series: Series): boolean {
  const { fromW, endW } = courseOf(part, series)
  return fromW - endW > 1.5 * SAME_SHARE * endW
}

/** Whether power rises for longer than any controller takes, and by more than a chassis that warms makes it drift. */
export function isRise(part: Part, series: Series): boolean {
  const { fromW, endW } = courseOf(part, series)
  return endW - fromW > RISE_SHARE * fromW
}

/** Power after any controller's approach, and at the end, W; alike where nothing bends. */
function courseOf(part: Part, series: Series): { readonly fromW: number; readonly endW: number } {
  const endW = endPower(part, series)
  if (part.pieces.length === 1 && !bends(part.pieces[0]!)) return { fromW: endW, endW }
  const firstS = series.timesS[part.from]!
  const lengthS = series.timesS[part.to - 1]! - firstS
  return { fromW: partPower(part, series, firstS + Math.min(APPROACH_S, lengthS / 3)), endW }
}

function bends(piece: Piece): boolean {
  return Number.isFinite(piece.tauS) && piece.tauS >= FAST_S
}
