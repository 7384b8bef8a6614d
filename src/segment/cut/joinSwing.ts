import { fitPiece, type Piece, type Series } from './fitPiece.js'
import type { Part } from './part.js'

/** A part of a swing that lasts no longer than so many of its cycles says nothing of their mean. */
const LEAST_CYCLES = 2

/**
 * Joins short parts of a swing to the part of it beside them: the mean of one cycle differs from that of the next by where the samples
 * fell, and only the course of several is a stage.
 */
export function joinSwing(parts: readonly Part[], series: Series): readonly Part[] {
  const { cycles, timesS } = series
  if (cycles === undefined) return parts
  const opens = cycles.edges[0]!
  const periodS = (timesS[cycles.edges.at(-1)! - 1]! - timesS[opens]!) / (cycles.edges.length - 1)
  const isShort = ({ from, to }: Part) => timesS[to - 1]! - timesS[from]! < LEAST_CYCLES * periodS
  const swings = (part: Part) => part.from + part.to > 2 * opens
  const joined: Part[] = []
  for (const part of parts) {
    const before = joined.at(-1)
    if (before && swings(before) && swings(part) && (isShort(before) || isShort(part))) {
      joined[joined.length - 1] = isShort(part)
        ? { ...before, to: part.to, pieces: withLast(before.pieces, part.to, series) }
        : {
            ...part,
            from: before.from,
            softS: before.softS,
            pieces: withFirst(part.pieces, before.from, series),
          }
    } else joined.push(part)
  }
  return joined
}

/** The course of the longer part goes on over the shorter one. */
function withLast(pieces: readonly Piece[], to: number, series: Series): readonly Piece[] {
  const last = pieces.at(-1)!
  return [...pieces.slice(0, -1), fitPiece(series, last.from, to, last.tauS)]
}

function withFirst(pieces: readonly Piece[], from: number, series: Series): readonly Piece[] {
  const first = pieces[0]!
  return [fitPiece(series, from, first.to, first.tauS), ...pieces.slice(1)]
}
