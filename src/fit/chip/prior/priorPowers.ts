/** What is known of the runs before their scores are looked at. */
export interface PriorPowers {
  /** Power in the middle of what was measured, W. */
  readonly referenceW: number
  /** Power between loads in the same log, W; null when none was seen. */
  readonly idleW: number | null
  readonly lowestW: number
  readonly highestW: number
  /** How many powers can be told apart. */
  readonly levels: number
  /** Levels written down by hand, each a setting of its own, rather than a log. */
  readonly noted: boolean
}
