import { indices } from '../../numeric/indices.js'

/** Values of each row or sample, in SI units; NaN where a cell held none. */
export interface SampleValues {
  readonly power: Float64Array
  /** What else was measured, in the order of the chosen columns. */
  readonly series: readonly Float64Array[]
}

/** Samples in the order of time. */
export interface OrderedSamples extends SampleValues {
  readonly timesS: Float64Array
  readonly lines: Int32Array
  /** Row of each sample in the table. */
  readonly rows: Int32Array
}

/** Places of the values that are numbers: not to be written to. */
export function placesOf(values: Float64Array): Int32Array {
  const first = values.findIndex(Number.isNaN)
  if (first < 0) return indices(values.length)
  const places = new Int32Array(values.length - 1)
  places.set(indices(first))
  let count = first
  for (let i = first + 1; i < values.length; i++) if (!Number.isNaN(values[i])) places[count++] = i
  return places.subarray(0, count)
}
