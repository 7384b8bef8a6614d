/** Samples of one stretch; `weights` are 0 for samples set aside, else 1. Times rise strictly. */
export interface Series {
  readonly timesS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Float64Array
  /** Samples are means over the interval that ends at them; else power at an instant. */
  readonly averaged: boolean
  /** Power goes down to idle after the last sample: the log doesn't end with the work. */
  readonly closes: boolean
}

/** Samples `from` to `to - 1` follow level + amplitude exp(-(t - t_from) / tau); a flat piece has amplitude 0 and tau Infinity. */
export interface Piece {
  readonly from: number
  readonly to: number
  readonly levelW: number
  readonly amplitudeW: number
  readonly tauS: number
  /** Weighted residual sum of squares, W². */
  readonly cost: number
}

export interface SearchOptions {
  /** Where a piece may begin: sample indices, rising, the first 0. */
  readonly candidates: readonly number[]
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

/** Power controllers approach a new limit with a time constant of 1 to 3 s: what relaxes faster than this is a soft edge. */
export const FAST_S = 4.5

/**
 * The exact best cut of a series into flat and relaxing pieces: minimises
 *
 *   sum of squared residuals + change penalty x changes + bend penalty x relaxing pieces
 *
 * over all cuts at the candidates, with every piece either flat or a relaxation with its time constant on a log grid.
 * Optimal partitioning; the sums of all pieces that begin at one candidate grow cell by cell, so a piece costs O(1)
 * for every time constant.
 *
 * @source optimal partitioning: B. Jackson et al. (2005), IEEE Signal Processing Letters 12, 105-108
 */
export function searchPieces(series: Series, options: SearchOptions): readonly Piece[] {
  const cells = summariseCells(series, options.candidates)
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

interface Cells {
  readonly count: number
  readonly taus: readonly number[]
  readonly weight: Float64Array
  readonly sum: Float64Array
  readonly square: Float64Array
  readonly samples: Int32Array
  readonly lengthS: Float64Array
  /** Per tau: sums of e, e² and e·y within the cell, e = exp(-(t - t of the cell's first sample) / tau). */
  readonly e: readonly Float64Array[]
  readonly ee: readonly Float64Array[]
  readonly ey: readonly Float64Array[]
  /** Per tau: decay from the cell's first sample to the next cell's. */
  readonly fade: readonly Float64Array[]
}

interface Table {
  readonly best: Float64Array
  readonly cameFrom: Int32Array
  readonly chosenTau: Int32Array
  /** 1 where the pieces before end one cell earlier, that cell's single sample being left out. */
  readonly skipped: Uint8Array
}

/** Time constants from the sampling interval to the length of the series, a factor of 1.5 apart: within 1 % of the best cost. */
export function tauGrid(shortestS: number, longestS: number): readonly number[] {
  const taus: number[] = []
  for (let tau = shortestS; tau <= Math.max(longestS, shortestS); tau *= 1.5) taus.push(tau)
  return taus
}

function summariseCells(series: Series, candidates: readonly number[]): Cells {
  const count = candidates.length
  const n = series.timesS.length
  const spanS = series.timesS[n - 1]! - series.timesS[0]!
  const taus = tauGrid(Math.max((0.8 * spanS) / Math.max(n - 1, 1), 0.3), spanS)
  const zeros = () => taus.map(() => new Float64Array(count))
  const cells: Cells = {
    count,
    taus,
    weight: new Float64Array(count),
    sum: new Float64Array(count),
    square: new Float64Array(count),
    samples: new Int32Array(count),
    lengthS: new Float64Array(count),
    e: zeros(),
    ee: zeros(),
    ey: zeros(),
    fade: zeros(),
  }
  const sums = runningSums(series)
  for (let cell = 0; cell < count; cell++) fillCell(sums, candidates, cell, cells)
  return cells
}

function weightedMean(series: Series): number {
  let sum = 0
  let weight = 0
  for (let i = 0; i < series.powerW.length; i++) {
    sum += series.weights[i]! * series.powerW[i]!
    weight += series.weights[i]!
  }
  return weight > 0 ? sum / weight : 0
}

function fillCell(sums: SampleSums, candidates: readonly number[], cell: number, cells: Cells): void {
  const { timesS } = sums
  const from = candidates[cell]!
  const n = timesS.length
  const to = cell + 1 < candidates.length ? candidates[cell + 1]! : n
  const startS = timesS[from]!
  const lengthS = (to < n ? timesS[to]! : timesS[n - 1]!) - startS
  cells.lengthS[cell] = lengthS
  cells.samples[cell] = to - from
  cells.weight[cell] = sums.weight[to]! - sums.weight[from]!
  cells.sum[cell] = sums.power[to]! - sums.power[from]!
  cells.square[cell] = sums.square[to]! - sums.square[from]!
  cells.taus.forEach((tauS, k) => {
    fillRelaxation(sums, { from, to, cell, k, tauS }, cells)
    cells.fade[k]![cell] = Math.exp(-lengthS / tauS)
  })
}

/** A group of samples that spans this share of a time constant counts as one at its middle: the sums are off by less than 1e-4. */
const GROUP_SHARE = 1 / 40
/** exp(-20) = 2e-9: what is further away adds nothing. */
const FARTHEST = 20

interface CellOfTau {
  readonly from: number
  readonly to: number
  readonly cell: number
  readonly k: number
  readonly tauS: number
}

function fillRelaxation(sums: SampleSums, { from, to, cell, k, tauS }: CellOfTau, cells: Cells): void {
  const { timesS } = sums
  const startS = timesS[from]!
  const group = Math.max(1, Math.floor((GROUP_SHARE * tauS) / sums.intervalS))
  let e = 0
  let ee = 0
  let ey = 0
  for (let i = from; i < to; i += group) {
    const end = Math.min(i + group, to)
    const distance = (0.5 * (timesS[i]! + timesS[end - 1]!) - startS) / tauS
    if (distance > FARTHEST) break
    const x = Math.exp(-distance)
    const weight = sums.weight[end]! - sums.weight[i]!
    e += weight * x
    ee += weight * x * x
    ey += (sums.power[end]! - sums.power[i]!) * x
  }
  cells.e[k]![cell] = e
  cells.ee[k]![cell] = ee
  cells.ey[k]![cell] = ey
}

/** Running sums over the samples: entry i holds those before sample i. Power counts from its mean, to keep digits. */
interface SampleSums {
  readonly timesS: Float64Array
  readonly intervalS: number
  readonly weight: Float64Array
  readonly power: Float64Array
  readonly square: Float64Array
}

function runningSums(series: Series): SampleSums {
  const { timesS } = series
  const n = timesS.length
  const centreW = weightedMean(series)
  const weight = new Float64Array(n + 1)
  const power = new Float64Array(n + 1)
  const square = new Float64Array(n + 1)
  for (let i = 0; i < n; i++) {
    const w = series.weights[i]!
    const y = series.powerW[i]! - centreW
    weight[i + 1] = weight[i]! + w
    power[i + 1] = power[i]! + w * y
    square[i + 1] = square[i]! + w * y * y
  }
  return { timesS, intervalS: (timesS[n - 1]! - timesS[0]!) / Math.max(1, n - 1), weight, power, square }
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

function extendFlat(start: number, base: number, cells: Cells, options: SearchOptions, table: Table): void {
  let weight = 0
  let sum = 0
  let square = 0
  let samples = 0
  for (let cell = start; cell < cells.count; cell++) {
    weight += cells.weight[cell]!
    sum += cells.sum[cell]!
    square += cells.square[cell]!
    samples += cells.samples[cell]!
    if (samples < options.minLength) continue
    const residual = weight > 0 ? Math.max(0, square - (sum * sum) / weight) : 0
    offer(base + residual, start, cell + 1, -1, table)
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
  for (let cell = start; cell < cells.count; cell++) {
    weight += cells.weight[cell]!
    sum += cells.sum[cell]!
    square += cells.square[cell]!
    samples += cells.samples[cell]!
    lengthS += cells.lengthS[cell]!
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

/** Least squares of one piece with a given time constant (Infinity: flat). */
export function fitPiece(series: Series, from: number, to: number, tauS: number): Piece {
  let weight = 0
  let e = 0
  let ee = 0
  let sum = 0
  let ey = 0
  const flat = !Number.isFinite(tauS)
  const startS = series.timesS[from]!
  for (let i = from; i < to; i++) {
    const w = series.weights[i]!
    const x = flat ? 0 : Math.exp((startS - series.timesS[i]!) / tauS)
    weight += w
    e += w * x
    ee += w * x * x
    sum += w * series.powerW[i]!
    ey += w * x * series.powerW[i]!
  }
  const spread = flat ? 0 : ee - (e * e) / weight
  const amplitudeW = spread > 1e-9 * weight ? (ey - (e * sum) / weight) / spread : 0
  const levelW = weight > 0 ? (sum - amplitudeW * e) / weight : 0
  let cost = 0
  for (let i = from; i < to; i++) {
    const x = flat ? 0 : Math.exp((startS - series.timesS[i]!) / tauS)
    cost += series.weights[i]! * (series.powerW[i]! - levelW - amplitudeW * x) ** 2
  }
  return { from, to, levelW, amplitudeW, tauS, cost }
}
