/** Values of each row or sample, in SI units; NaN where a cell held none. */
export interface SampleValues {
  readonly power: Float64Array
  readonly temperature: Float64Array | null
  readonly clock: Float64Array | null
}

/** Samples in the order of time. */
export interface OrderedSamples extends SampleValues {
  readonly timesS: Float64Array
  readonly lines: Int32Array
  /** Row of each sample in the table. */
  readonly rows: Int32Array
}
