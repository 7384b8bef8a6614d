import { quantile } from '../../numeric/statistics/quantile.js'
import type { Load } from '../../segment/load.js'
import type { PlacedRun } from '../../sheet/placedRun.js'
import type { TestSheet } from '../../sheet/testSheet.js'

/**
 * Divides a load among the scores of a loop of fixed work, where the pauses seen in the log are not as many as the scores
 * ask for: none, as in a loop without pauses, or some of them missed or doubled.
 *
 * Score x duration is the same for every run when higher is better, so run k takes T (1/score_k) / Σ(1/score) of the time
 * T outside pauses; a time score is its run's duration itself, in the same proportions. Pauses are all as long as those
 * that were seen. Runs of fixed time are all as long. The division is believed only when most pauses that were seen lie where it puts one.
 *
 * @returns the runs, or null when the load contradicts the division
 */
export function divideLoad(
  scores: readonly number[],
  load: Load | undefined,
  { workload, fixed }: ScoredWork,
): readonly PlacedRun[] | null {
  if (load === undefined) return null
  const pauses = load.runs.slice(1).map((run, i) => ({ startS: load.runs[i]!.endS, endS: run.startS }))
  const gapS =
    pauses.length === 0
      ? 0
      : quantile(
          pauses.map((pause) => pause.endS - pause.startS),
          0.5,
        )
  const workingS = load.endS - load.startS - gapS * (scores.length - 1)
  if (workingS <= 0) return null
  const shares = scores.map((score) =>
    fixed === 'time' ? 1 : workload.better === 'lower' ? score : 1 / score,
  )
  const total = shares.reduce((sum, share) => sum + share, 0)
  let startS = load.startS
  const runs = scores.map((score, index): PlacedRun => {
    const endS = startS + (workingS * shares[index]!) / total
    const run: PlacedRun = { startS, endS, score, placedBy: 'scores' }
    startS = endS + gapS
    return run
  })
  return agree(runs, pauses) ? runs : null
}

/** What a run did: its score's direction, and whether it was work or time that was the same in all runs. */
export type ScoredWork = Pick<TestSheet, 'workload' | 'fixed'>

/** How far a pause may lie from where the division puts it, as a share of a run: scores and pauses scatter by a per cent or so each. */
const OFF_SHARE = 0.12
const MOST_PAUSES = 0.7

function agree(runs: readonly PlacedRun[], pauses: readonly { readonly startS: number }[]): boolean {
  const meanS = (runs.at(-1)!.endS - runs[0]!.startS) / runs.length
  const met = pauses.filter(({ startS }) =>
    runs.slice(0, -1).some((run) => Math.abs(run.endS - startS) < OFF_SHARE * meanS),
  )
  return met.length >= MOST_PAUSES * pauses.length
}
