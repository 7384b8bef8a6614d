import { FAST_S, fitPiece, type Piece, type Series } from './fitPiece.js'
import { endPower, isDecay, isRise, type Part, RISE_SHARE, SAME_SHARE, startPower } from './part.js'

/** Longest soft edge: four of the slowest controller's time constants, rounded up to whole samples elsewhere. */
const LONGEST_EDGE_S = 8

/**
 * From the pieces of the search to parts with one behaviour each: soft edges go to the part that they lead into, level neighbours
 * that a reader would call the same become one, and a relaxation that needs several exponentials stays one relaxation.
 */
export function joinPieces(pieces: readonly Piece[], series: Series, noiseScale: number): readonly Part[] {
  const parts = pieces.map(
    (piece): Part => ({
      from: piece.from,
      to: piece.to,
      pieces: [piece],
      softS: piece.tauS < FAST_S ? piece.tauS : 0,
    }),
  )
  const whole = absorbEdges(absorbWayDown(absorbRampUp(parts, series), series), series, noiseScale)
  return joinRelaxations(joinSameMeans(joinLevels(whole, series, noiseScale), series), series)
}

/** A logger's running mean over a second takes so long from idle to work and back, s; common practice, no source. */
const WAY_S = 1.2

/** The last parts within two samples, or within a second, on the way down to idle belong to no stage. */
function absorbWayDown(parts: readonly Part[], series: Series): readonly Part[] {
  if (!series.closes) return parts
  const endS = series.timesS[parts.at(-1)!.to - 1]!
  const end = parts.at(-1)!.to
  let count = parts.length
  for (; count > 1; count--) {
    const [before, last] = [parts[count - 2]!, parts[count - 1]!]
    if (end - last.from > 2 && endS - series.timesS[last.from]! > WAY_S) break
    if (endPower(last, series) >= endPower(before, series) * (1 - SAME_SHARE)) break
  }
  return parts.slice(0, count)
}

/** First parts within a few samples, or within a second, each below the next, are the load's way up. */
function absorbRampUp(parts: readonly Part[], series: Series): readonly Part[] {
  const from = parts[0]!.from
  let first = 0
  for (; first + 1 < parts.length; first++) {
    const [part, next] = [parts[first]!, parts[first + 1]!]
    if (part.to - from > 3 && series.timesS[part.to - 1]! - series.timesS[from]! > WAY_S) break
    if (endPower(part, series) > startPower(next, series)) break
  }
  return first === 0 ? parts : [{ ...parts[first]!, from }, ...parts.slice(first + 1)]
}

function absorbEdges(parts: readonly Part[], series: Series, noiseScale: number): readonly Part[] {
  const kept: Part[] = []
  let edgeFrom = -1
  let softS = 0
  parts.forEach((part, i) => {
    const before = kept.at(-1)
    const after = parts[i + 1]
    if (before && after && edgeFrom < 0 && isEdge(part, before, after, series, noiseScale)) {
      edgeFrom = part.from
      softS = Math.max(part.softS, 0.3 * (series.timesS[part.to - 1]! - series.timesS[part.from]!))
      return
    }
    kept.push(edgeFrom < 0 ? part : { ...part, from: edgeFrom, softS: Math.max(softS, part.softS) })
    edgeFrom = -1
  })
  return kept
}

/** What is over sooner is a controller that swings on its way, s: no stage. Common practice, no source. */
const SWING_S = 0.25

function isEdge(part: Part, before: Part, after: Part, series: Series, noiseScale: number): boolean {
  const fromW = endPower(before, series)
  const toW = startPower(after, series)
  const jumpW = Math.abs(fromW - toW)
  const lengthS = series.timesS[part.to]! - series.timesS[part.from]!
  if (lengthS <= SWING_S) return true
  if (lengthS > LONGEST_EDGE_S || jumpW < SAME_SHARE * toW) return false
  const slackW = 0.12 * jumpW + 2 * noiseScale
  const reachedW = part.pieces[0]!.levelW
  const endsThere = Math.abs(endPower(part, series) - toW) < slackW || Math.abs(reachedW - toW) < slackW
  const between = reachedW < Math.max(fromW, toW) + slackW && reachedW > Math.min(fromW, toW) - slackW
  const short = part.to - part.from <= 3 || lengthS <= 3
  return between && (endsThere || short)
}

function joinLevels(parts: readonly Part[], series: Series, noiseScale: number): readonly Part[] {
  const kept: Part[] = []
  for (const part of parts) {
    const before = kept.at(-1)
    if (before && sameLevel(before, part, series, noiseScale))
      kept[kept.length - 1] = merge(before, part, series)
    else kept.push(part)
  }
  return kept
}

function sameLevel(before: Part, after: Part, series: Series, noiseScale: number): boolean {
  if (isDecay(before, series) || isDecay(after, series)) return false
  const shorter = Math.min(before.to - before.from, after.to - after.from)
  const fromW = endPower(before, series)
  const stepW = startPower(after, series) - fromW
  const share = stepW > 0 ? RISE_SHARE : SAME_SHARE
  return Math.abs(stepW) < Math.max(share * fromW, (2 * noiseScale) / Math.sqrt(shorter))
}

function merge(before: Part, after: Part, series: Series): Part {
  const pieces = [...before.pieces, ...after.pieces]
  const flat = pieces.every((piece) => piece.amplitudeW === 0)
  return {
    from: before.from,
    to: after.to,
    pieces: flat ? [fitPiece(series, pieces[0]!.from, after.to, Number.POSITIVE_INFINITY)] : pieces,
    softS: before.softS,
  }
}

/** Neighbouring levels whose means a reader would call the same are one, whatever bends the noise has put into them. */
function joinSameMeans(parts: readonly Part[], series: Series): readonly Part[] {
  const kept: Part[] = []
  for (const part of parts) {
    const before = kept.at(-1)
    const bothLevel = before && isLevel(before, series) && isLevel(part, series)
    const [a, b] = bothLevel ? [flatFit(before, series), flatFit(part, series)] : [null, null]
    if (before && a && b && Math.abs(a.levelW - b.levelW) < SAME_SHARE * a.levelW) {
      const pieces = [fitPiece(series, before.from, part.to, Number.POSITIVE_INFINITY)]
      kept[kept.length - 1] = { from: before.from, to: part.to, pieces, softS: before.softS }
    } else kept.push(part)
  }
  return kept
}

function isLevel(part: Part, series: Series): boolean {
  return !isDecay(part, series) && !isRise(part, series)
}

function flatFit(part: Part, series: Series): Piece {
  return fitPiece(series, part.from, part.to, Number.POSITIVE_INFINITY)
}

/** A fall that goes on where the last one ended is the same fall: heat relaxes with more than one time constant. */
function joinRelaxations(parts: readonly Part[], series: Series): readonly Part[] {
  const kept: Part[] = []
  for (const part of parts) {
    const before = kept.at(-1)
    if (before && continues(before, part, series)) {
      kept[kept.length - 1] = {
        from: before.from,
        to: part.to,
        pieces: [...before.pieces, ...part.pieces],
        softS: before.softS,
      }
    } else kept.push(part)
  }
  return kept
}

function continues(before: Part, after: Part, series: Series): boolean {
  if (!isDecay(before, series) || !isDecay(after, series)) return false
  const fallW = startPower(before, series) - endPower(before, series)
  const moreW = startPower(after, series) - endPower(after, series)
  const jumpW = endPower(before, series) - startPower(after, series)
  return (
    fallW * moreW > 0 &&
    Math.abs(jumpW) < Math.max(0.25 * Math.abs(fallW), SAME_SHARE * endPower(before, series))
  )
}
