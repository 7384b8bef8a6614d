import type { Workload } from '../curves/chip.js'
import type { Load } from '../segment/load.js'
import type { PlacedRun } from './placedRun.js'

/**
 * Divides a load without pauses among the scores of a loop of fixed work.
 *
 * Score x duration is the same for every run when higher is better, so run k lasts T (1/score_k) / Σ(1/score); a
 * time score is its run's duration itself, in the same proportions. Only a load with at most one stretch found
 * (no pauses) is divided: with pauses seen, the division would contradict them.
 *
 * @returns the runs, or null when there is no such load
 */
export function divideLoad(
  scores: readonly number[],
  load: Load | undefined,
  workload: Workload,
): readonly PlacedRun[] | null {
  if (load === undefined || load.runs.length > 1) return null
  const shares = scores.map((score) => (workload.better === 'lower' ? score : 1 / score))
  const total = shares.reduce((sum, share) => sum + share, 0)
  let startS = load.startS
  return scores.map((score, index): PlacedRun => {
    const endS =
      index === scores.length - 1 ? load.endS : startS + ((load.endS - load.startS) * shares[index]!) / total
    const run: PlacedRun = { startS, endS, score, placedBy: 'scores' }
    startS = endS
    return run
  })
}
