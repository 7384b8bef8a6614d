import type { Cycles } from './cycles.js'

/** Samples of one stretch; `weights` are 0 for samples set aside, else 1. Times rise strictly. */
export interface Series {
  readonly timesS: Float64Array
  readonly powerW: Float64Array
  readonly weights: Uint8Array
  /** Samples are means over the interval that ends at them; else power at an instant. */
  readonly averaged: boolean
  /** Power goes down to idle after the last sample: the log doesn't end with the work. */
  readonly closes: boolean
  /** Where power swings between two levels: `powerW` is the mean of each cycle there. */
  readonly cycles?: Cycles
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

/** Power controllers approach a new limit with a time constant of 1 to 3 s: what relaxes faster than this is a soft edge. */
export const FAST_S = 4.5

/** Least squares of one piece with a given time constant (Infinity: flat), in one pass over its samples. */
export function fitPiece(series: Series, from: number, to: number, tauS: number): Piece {
  const { timesS, powerW, weights } = series
  const flat = !Number.isFinite(tauS)
  const startS = timesS[from]!
  // Power counts from some sample in the middle, to keep digits in the differences of sums.
  const centreW = powerW[(from + to) >> 1]!
  let weight = 0
  let e = 0
  let ee = 0
  let sum = 0
  let ey = 0
  let square = 0
  for (let i = from; i < to; i++) {
    const w = weights[i]!
    const y = w * (powerW[i]! - centreW)
    weight += w
    sum += y
    square += y * y
    if (flat) continue
    const x = Math.exp((startS - timesS[i]!) / tauS)
    e += w * x
    ee += w * x * x
    ey += x * y
  }
  const spread = flat || weight === 0 ? 0 : ee - (e * e) / weight
  const cross = weight === 0 ? 0 : ey - (e * sum) / weight
  const amplitudeW = spread > 1e-9 * weight ? cross / spread : 0
  const levelW = weight > 0 ? centreW + (sum - amplitudeW * e) / weight : 0
  const cost = weight > 0 ? Math.max(0, square - (sum * sum) / weight - amplitudeW * cross) : 0
  return { from, to, levelW, amplitudeW, tauS, cost }
}
