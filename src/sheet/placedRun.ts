/** A scored pass with its place in the log, seconds from the log's first sample. */
export interface PlacedRun {
  readonly startS: number
  readonly endS: number
  readonly score: number
  /** Whether the sheet gave the times, the pauses in the log showed them, the scores divided the load, or it is a block of a column of the pace. */
  readonly placedBy: 'times' | 'pauses' | 'scores' | 'rate'
}
