import type { Series } from './fitPiece.js'

/** Running sums over the samples: entry i holds those before sample i. Power counts from its mean, to keep digits. */
export interface SampleSums {
  readonly timesS: Float64Array
  readonly intervalS: number
  readonly weight: Float64Array
  readonly power: Float64Array
  readonly square: Float64Array
}

export function sampleSums(series: Series): SampleSums {
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

function weightedMean(series: Series): number {
  let sum = 0
  let weight = 0
  for (let i = 0; i < series.powerW.length; i++) {
    sum += series.weights[i]! * series.powerW[i]!
    weight += series.weights[i]!
  }
  return weight > 0 ? sum / weight : 0
}
