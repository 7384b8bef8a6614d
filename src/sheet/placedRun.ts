/** A scored pass with its place in the log, seconds from the log's first sample. */
export interface PlacedRun {
  readonly startS: number
  readonly endS: number
  readonly score: number
  /** Whether the sheet gave the times, the pauses in the log showed them, or the scores divided the load. */
  readonly placedBy: 'times' | 'pauses' | 'scores'
}
