import type { Series } from './fitPiece.js'

/** Running sums over the samples of a series: entry i holds those before sample i. Power counts from its mean, to keep digits. */
export interface SampleSums {
  readonly series: Series
  readonly intervalS: number
  readonly meanW: number
  readonly weight: Int32Array
  readonly power: Float64Array
}

export function sampleSums(series: Series): SampleSums {
  const { timesS } = series
  const n = timesS.length
  const meanW = weightedMean(series)
  const weight = new Int32Array(n + 1)
  const power = new Float64Array(n + 1)
  for (let i = 0; i < n; i++) {
    const w = series.weights[i]!
    weight[i + 1] = weight[i]! + w
    power[i + 1] = power[i]! + w * (series.powerW[i]! - meanW)
  }
  return { series, intervalS: (timesS[n - 1]! - timesS[0]!) / Math.max(1, n - 1), meanW, weight, power }
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
