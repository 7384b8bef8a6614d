import { quantile } from '../numeric/quantile.js'

/**
 * Single samples far from all their neighbours, in either direction.
 *
 * A sample is a spike when it differs from the median of its five neighbours on either side by more than 6 noise
 * scales and 3 % of the level, and the sample before and the one after agree with each other: at an edge they don't.
 *
 * @returns places of the spikes
 * @source running-median identifier: F. R. Hampel (1974), J. Amer. Statist. Assoc. 69, 383-393
 */
export function findSpikes(values: Float64Array, noiseScale: number): readonly number[] {
  const spikes: number[] = []
  for (let i = 1; i < values.length - 1; i++) {
    const before = values[i - 1]!
    const after = values[i + 1]!
    const size = Math.abs(values[i]! - 0.5 * (before + after))
    if (size < 6 * noiseScale || size < 0.03 * Math.abs(before)) continue
    if (Math.abs(before - after) > 0.35 * size + 3 * noiseScale) continue
    const neighbours = [...values.subarray(Math.max(0, i - 5), i), ...values.subarray(i + 1, i + 6)]
    if (Math.abs(values[i]! - quantile(neighbours, 0.5)) >= 5 * noiseScale) spikes.push(i)
  }
  return spikes
}
