/** Scores of some runs. */
export interface CountedScores {
  readonly scores: readonly number[]
  /** How many runs each score is the mean of; left out: one each. */
  readonly counts?: readonly number[]
}

/** How many runs some scores are of. */
export function runsOf({ scores, counts }: CountedScores): number {
  return counts?.reduce((sum, count) => sum + count, 0) ?? scores.length
}

/** Mean score of all runs that some scores are of. */
export function meanScore(part: CountedScores): number {
  return part.scores.reduce((sum, score, k) => sum + (part.counts?.[k] ?? 1) * score, 0) / runsOf(part)
}
