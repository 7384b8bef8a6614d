/** Power that swings between two levels, again and again, up to the end of a stretch. Places are those of samples. */
export interface Cycles {
  /** Where each cycle begins, and where the last one ends: one more than there are cycles. */
  readonly edges: readonly number[]
  /** Where within each cycle power goes over from one level to the other. */
  readonly turns: readonly number[]
  /** Each cycle begins with its higher level. */
  readonly opensHigh: boolean
  readonly lowW: number
  readonly highW: number
  /** The first cycle came after a phase at one of the two levels that lasted much longer than the later ones of its kind. */
  readonly beginsLate: boolean
}
