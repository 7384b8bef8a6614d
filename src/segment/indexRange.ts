/** Samples `from` to `to - 1`. */
export interface IndexRange {
  readonly from: number
  readonly to: number
}

/** Idle power, its scatter upwards, and the threshold of work, W. */
export interface Split {
  readonly idleW: number
  readonly thresholdW: number
  readonly idleNoiseW: number
}
