import type { SampleSums } from './sampleSums.js'

/** Sums over the cells between neighbouring candidates, for every time constant of the grid. */
export interface Cells {
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

/** Time constants from the sampling interval to the length of the series, evenly spaced on a log scale; `polishPieces` frees them afterwards. */
export function tauGrid(shortestS: number, longestS: number, factor: number): readonly number[] {
  const taus: number[] = []
  for (let tau = shortestS; tau <= Math.max(longestS, shortestS); tau *= factor) taus.push(tau)
  return taus
}

export function summariseCells(sums: SampleSums, candidates: readonly number[], tauFactor: number): Cells {
  const count = candidates.length
  const { timesS } = sums.series
  const n = timesS.length
  const spanS = timesS[n - 1]! - timesS[0]!
  const taus = tauGrid(Math.max((0.8 * spanS) / Math.max(n - 1, 1), 0.3), spanS, tauFactor)
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
  for (let cell = 0; cell < count; cell++) fillCell(sums, candidates, cell, cells)
  return cells
}

function fillCell(sums: SampleSums, candidates: readonly number[], cell: number, cells: Cells): void {
  const { timesS } = sums.series
  const from = candidates[cell]!
  const n = timesS.length
  const to = cell + 1 < candidates.length ? candidates[cell + 1]! : n
  const startS = timesS[from]!
  const lengthS = (to < n ? timesS[to]! : timesS[n - 1]!) - startS
  cells.lengthS[cell] = lengthS
  cells.samples[cell] = to - from
  cells.weight[cell] = sums.weight[to]! - sums.weight[from]!
  cells.sum[cell] = sums.power[to]! - sums.power[from]!
  cells.square[cell] = squaresOf(sums, from, to)
  // Even sampling makes cells of one length, which fade alike.
  const asBefore = cell > 0 && lengthS === cells.lengthS[cell - 1]
  cells.taus.forEach((tauS, k) => {
    fillRelaxation(sums, { from, to, cell, k, tauS }, cells)
    cells.fade[k]![cell] = asBefore ? cells.fade[k]![cell - 1]! : Math.exp(-lengthS / tauS)
  })
}

function squaresOf({ series, meanW }: SampleSums, from: number, to: number): number {
  let square = 0
  for (let i = from; i < to; i++) {
    const aboveW = series.powerW[i]! - meanW
    square += series.weights[i]! * aboveW * aboveW
  }
  return square
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
  const { timesS } = sums.series
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
