import type { ScoredPart } from './fitReview.js'

/** How many runs some scores are of. */
export function runsOf({ scores, counts }: Pick<ScoredPart, 'scores' | 'counts'>): number {
  return counts?.reduce((sum, count) => sum + count, 0) ?? scores.length
}

/** Mean score of all runs that some scores are of. */
export function meanScore(part: Pick<ScoredPart, 'scores' | 'counts'>): number {
  return part.scores.reduce((sum, score, k) => sum + (part.counts?.[k] ?? 1) * score, 0) / runsOf(part)
}
