/** A scored pass with its place in the log, seconds from the log's first sample; of a mean, from the first of its runs to the last. */
export interface PlacedRun {
  readonly startS: number
  readonly endS: number
  /** How many runs the score is the mean of; left out: one. */
  readonly of?: number
  /** The runs that a mean covers, without the pauses between them; left out: the whole. */
  readonly parts?: readonly { readonly startS: number; readonly endS: number }[]
  readonly score: number
  /** Whether the sheet gave the times, the pauses in the log showed them, the scores divided the load, or it is a block of a column of the pace. */
  readonly placedBy: 'times' | 'pauses' | 'scores' | 'rate'
}
