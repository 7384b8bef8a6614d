import { quantile } from '../../numeric/statistics/quantile.js'

/** A spike is farther from its neighbours than so many noise scales, and this share of the power. */
const FAR_SCALES = 6
const FAR_SHARE = 0.03
/** Farther than so many noise scales from the median of the five samples on either side. */
const FAR_FROM_MEDIAN_SCALES = 5
/** The samples beside it agree to this share of its size, and so many noise scales. */
const AGREE_SHARE = 0.35
const AGREE_SCALES = 3

/**
 * Samples far from all their neighbours, in either direction: single ones, and in a log of means two that cancel.
 *
 * A sample is a spike when it differs from the median of its five neighbours on either side by more than 6 noise
 * scales and 3 % of the level, and the sample before and the one after agree with each other: at an edge they don't. Where a meter is read
 * late, one interval gets what the next lacks: of two such samples in a row the mean agrees with their neighbours.
 *
 * @param values - at least zero of them
 * @param noiseScale - standard deviation of the noise, in their unit
 * @param averaged - each is a mean over its interval
 * @returns places of the spikes, in order
 * @source running-median identifier: F. R. Hampel (1974), J. Amer. Statist. Assoc. 69, 383-393
 */
export function findSpikes(values: Float64Array, noiseScale: number, averaged: boolean): readonly number[] {
  const spikes: number[] = []
  for (let i = 1; i < values.length - 1; i++) {
    if (isSpike(values, i, noiseScale)) spikes.push(i)
    else if (averaged && cancels(values, i, noiseScale)) spikes.push(i, ++i)
  }
  return spikes
}

function isSpike(values: Float64Array, at: number, noiseScale: number): boolean {
  const before = values[at - 1]!
  const after = values[at + 1]!
  const size = Math.abs(values[at]! - 0.5 * (before + after))
  if (!isFar(size, before, noiseScale)) return false
  if (Math.abs(before - after) > AGREE_SHARE * size + AGREE_SCALES * noiseScale) return false
  return isFarFromMedian(values, at, at + 1, noiseScale)
}

/** A sample and the next lie on either side of their neighbours, as far. */
function cancels(values: Float64Array, at: number, noiseScale: number): boolean {
  if (at + 2 >= values.length) return false
  const before = values[at - 1]!
  const after = values[at + 2]!
  const [first, second] = [values[at]! - 0.5 * (before + after), values[at + 1]! - 0.5 * (before + after)]
  const size = Math.min(Math.abs(first), Math.abs(second))
  if (!isFar(size, before, noiseScale)) return false
  // On one side of their neighbours, they add up to more than that.
  const slack = AGREE_SHARE * size + AGREE_SCALES * noiseScale
  if (Math.abs(before - after) > slack || Math.abs(first + second) > slack) return false
  return isFarFromMedian(values, at, at + 2, noiseScale)
}

function isFar(size: number, before: number, noiseScale: number): boolean {
  return size >= FAR_SCALES * noiseScale && size >= FAR_SHARE * Math.abs(before)
}

/** Every value of a range lies far from the median of the five on either side of it. */
function isFarFromMedian(values: Float64Array, from: number, to: number, noiseScale: number): boolean {
  const neighbours = [...values.subarray(Math.max(0, from - 5), from), ...values.subarray(to, to + 5)]
  const middle = quantile(neighbours, 0.5)
  return values
    .subarray(from, to)
    .every((value) => Math.abs(value - middle) >= FAR_FROM_MEDIAN_SCALES * noiseScale)
}
