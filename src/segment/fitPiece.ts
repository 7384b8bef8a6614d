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

/** Power controllers approach a new limit with a time constant of 1 to 3 s: what relaxes faster than this is a soft edge. */
export const FAST_S = 4.5

/** Least squares of one piece with a given time constant (Infinity: flat). */
export function fitPiece(series: Series, from: number, to: number, tauS: number): Piece {
  let weight = 0
  let e = 0
  let ee = 0
  let sum = 0
  let ey = 0
  const flat = !Number.isFinite(tauS)
  const startS = series.timesS[from]!
  const shape = new Float64Array(to - from)
  if (!flat) for (let i = from; i < to; i++) shape[i - from] = Math.exp((startS - series.timesS[i]!) / tauS)
  for (let i = from; i < to; i++) {
    const w = series.weights[i]!
    const x = shape[i - from]!
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
    const residual = series.powerW[i]! - levelW - amplitudeW * shape[i - from]!
    cost += series.weights[i]! * residual * residual
  }
  return { from, to, levelW, amplitudeW, tauS, cost }
}
