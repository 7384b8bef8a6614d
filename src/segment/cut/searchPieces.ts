import { FAST_S, fitPiece, type Piece, type Series } from './fitPiece.js'
import { type SampleSums, sampleSums } from './sampleSums.js'
import { type Cells, summariseCells } from './summariseCells.js'

export interface SearchOptions {
  /** Where a piece may begin: sample indices, rising, the first 0. */
  readonly candidates: readonly number[]
  /** From one time constant of the grid to the next, above 1. */
  readonly tauFactor: number
  /** Cost of each further flat piece, W². */
  readonly changePenalty: number
  /** Cost of bending a piece, W², on top. */
  readonly bendPenalty: number
  /** Cost of leaving out the one sample between two pieces, W²: it averages over the edge and belongs to neither. */
  readonly skipPenalty: number
  /** Fewest samples of a piece. */
  readonly minLength: number
  /** Forbids a fast fall from the first sample on, which would swallow a short burst. */
  readonly noFastFallAtStart?: boolean
}

/**
 * The exact best cut of a series into flat and relaxing pieces: minimises
 *
 *   sum of squared residuals + change penalty x changes + bend penalty x relaxing pieces
 *
 * over all cuts at the candidates, with every piece either flat or a relaxation with its time constant on a log grid.
 * Exact but for edges side by side: where the best cut up to a place leaves out the sample before it, the next sample is not left out as well.
 * Optimal partitioning; the sums of all pieces that begin at one candidate grow cell by cell, so a piece costs O(1)
 * for every time constant.
 *
 * @source optimal partitioning: B. Jackson et al. (2005), IEEE Signal Processing Letters 12, 105-108
 */
export function searchPieces(
  series: Series,
  options: SearchOptions,
  sums: SampleSums = sampleSums(series),
): readonly Piece[] {
  const cells = summariseCells(sums, options.candidates, options.tauFactor)
  const count = options.candidates.length
  const best = new Float64Array(count + 1).fill(Number.POSITIVE_INFINITY)
  best[0] = -options.changePenalty
  const cameFrom = new Int32Array(count + 1).fill(-1)
  const chosenTau = new Int32Array(count + 1).fill(-1)
  const skipped = new Uint8Array(count + 1)
  const table = { best, cameFrom, chosenTau, skipped }
  for (let start = 0; start < count; start++) {
    if (start >= 2) offerSkip(start, cells, options, table)
    extendFrom(start, cells, options, table)
  }
  return tracePieces(series, cells, options.candidates, table)
}

interface Table {
  readonly best: Float64Array
  readonly cameFrom: Int32Array
  readonly chosenTau: Int32Array
  /** 1 where the pieces before end one cell earlier, that cell's single sample being left out. */
  readonly skipped: Uint8Array
}

function offerSkip(start: number, cells: Cells, options: SearchOptions, table: Table): void {
  if (cells.samples[start - 1]! !== 1) return
  const cost = table.best[start - 1]! + options.skipPenalty
  if (table.skipped[start - 1] === 1 || cost >= table.best[start]!) return
  table.best[start] = cost
  table.cameFrom[start] = start - 1
  table.skipped[start] = 1
}

/** Tries every piece that begins at one candidate: flat, then one time constant after the other. */
function extendFrom(start: number, cells: Cells, options: SearchOptions, table: Table): void {
  const base = table.best[start]! + options.changePenalty
  if (!Number.isFinite(base)) return
  extendFlat(start, base, cells, options, table)
  for (let k = 0; k < cells.taus.length; k++)
    extendBent(start, base + options.bendPenalty, k, cells, options, table)
}

/**
 * Whether a piece that began at a candidate is dominated from here on: to end it here and to begin another of its kind
 * costs no more than to go on, whatever follows, for the residuals of one piece are no less than those of two.
 *
 * @param residual - of the piece so far, W²
 * @source pruning of optimal partitioning: R. Killick, P. Fearnhead, I. A. Eckley (2012), J. Amer. Statist. Assoc. 107, 1590-1598
 */
function isDominated(start: number, end: number, residual: number, { best }: Table): boolean {
  return best[start]! + residual > best[end]!
}

function extendFlat(start: number, base: number, cells: Cells, options: SearchOptions, table: Table): void {
  let weight = 0
  let sum = 0
  let square = 0
  let samples = 0
  // A successor needs its least length before it can take over.
  let leftSamples = Number.POSITIVE_INFINITY
  for (let cell = start; cell < cells.count && leftSamples > 0; cell++) {
    weight += cells.weight[cell]!
    sum += cells.sum[cell]!
    square += cells.square[cell]!
    samples += cells.samples[cell]!
    leftSamples -= cells.samples[cell]!
    if (samples < options.minLength) continue
    const residual = weight > 0 ? Math.max(0, square - (sum * sum) / weight) : 0
    offer(base + residual, start, cell + 1, -1, table)
    if (leftSamples === Number.POSITIVE_INFINITY && isDominated(start, cell + 1, residual, table))
      leftSamples = options.minLength
  }
}

function extendBent(
  start: number,
  base: number,
  k: number,
  cells: Cells,
  options: SearchOptions,
  table: Table,
): void {
  const tau = cells.taus[k]!
  const fades = cells.fade[k]!
  const es = cells.e[k]!
  const ees = cells.ee[k]!
  const eys = cells.ey[k]!
  let faded = 1
  let weight = 0
  let sum = 0
  let square = 0
  let samples = 0
  let lengthS = 0
  let e = 0
  let ee = 0
  let ey = 0
  // As in `extendFlat`; a bent successor also has to last for its time constant.
  let leftSamples = Number.POSITIVE_INFINITY
  let leftS = Number.POSITIVE_INFINITY
  for (let cell = start; cell < cells.count && (leftSamples > 0 || leftS > 0); cell++) {
    weight += cells.weight[cell]!
    sum += cells.sum[cell]!
    square += cells.square[cell]!
    samples += cells.samples[cell]!
    lengthS += cells.lengthS[cell]!
    leftSamples -= cells.samples[cell]!
    leftS -= cells.lengthS[cell]!
    e += faded * es[cell]!
    ee += faded * faded * ees[cell]!
    ey += faded * eys[cell]!
    faded *= fades[cell]!
    // Below a length of one time constant the asymptote is a guess, and a flat piece or a shorter constant says as much.
    if (samples < options.minLength + 2 || lengthS < tau) continue
    const spread = ee - (e * e) / weight
    if (!(spread > 1e-9 * weight)) continue
    const cross = ey - (e * sum) / weight
    // A load doesn't begin inside its own drop: what falls fast from the first sample on was a burst before.
    if (start === 0 && options.noFastFallAtStart && cross > 0 && tau < FAST_S) continue
    const residual = Math.max(0, square - (sum * sum) / weight - (cross * cross) / spread)
    offer(base + residual, start, cell + 1, k, table)
    if (leftS === Number.POSITIVE_INFINITY && isDominated(start, cell + 1, residual, table)) {
      leftSamples = options.minLength + 2
      leftS = tau
    }
  }
}

function offer(cost: number, start: number, end: number, tauIndex: number, table: Table): void {
  if (cost >= table.best[end]!) return
  table.best[end] = cost
  table.cameFrom[end] = start
  table.chosenTau[end] = tauIndex
  table.skipped[end] = 0
}

function tracePieces(
  series: Series,
  cells: Cells,
  candidates: readonly number[],
  table: Table,
): readonly Piece[] {
  const pieces: Piece[] = []
  let end = candidates.length
  while (end > 0) {
    const start = table.cameFrom[end]!
    if (start < 0) break
    if (table.skipped[end] === 1) {
      end = start
      continue
    }
    const tauIndex = table.chosenTau[end]!
    const to = end < candidates.length ? candidates[end]! : series.timesS.length
    const tauS = tauIndex < 0 ? Number.POSITIVE_INFINITY : cells.taus[tauIndex]!
    pieces.unshift(fitPiece(series, candidates[start]!, to, tauS))
    end = start
  }
  return pieces
}
