import { mean, standardDeviation } from '../../numeric/statistics/moments.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Stretch } from '../cut/stretch.js'

/** Fewest samples of a run, and fewest runs, by which a fall within the runs would show. */
const FEWEST_SAMPLES = 6
const FEWEST_RUNS = 3
/**
 * Under heat about half of what the pauses take off comes back as a fall within each run, for the fast parts of the chassis cool in the pause.
 * Runs that fall by less than this share of it, at two standard errors, are held by something else.
 */
const FALL_SHARE = 0.1

/**
 * Whether the runs of a loop hold their power from their first samples on, so that heat does not hold them: after a pause a cool chip
 * is given more, and gives way.
 *
 * @param stretches - the last stage's, one a run
 * @param takenW - what the pauses take off the loop's mean power
 */
export function runsAreFlat(stretches: readonly Stretch[], takenW: number): boolean {
  const runs = new Set(stretches.map(({ runIndex }) => runIndex))
  if (runs.size < FEWEST_RUNS || runs.size < stretches.length) return false
  const falls = stretches.map(fallWithin).filter((fallW) => fallW !== undefined)
  if (falls.length < runs.size) return false
  const errorW = standardDeviation(falls)! / Math.sqrt(falls.length)
  return mean(falls)! + 2 * errorW < FALL_SHARE * takenW
}

/** From the first third of a run to its last, by medians: samples at its edges may hold some of the pause. Undefined of a run of few samples. */
function fallWithin({ run: { series } }: Stretch): number | undefined {
  const inside = series.powerW.subarray(1, -1).filter((_, i) => series.weights[i + 1]! > 0)
  if (inside.length < FEWEST_SAMPLES) return undefined
  const third = Math.floor(inside.length / 3)
  return quantile(inside.subarray(0, third), 0.5) - quantile(inside.subarray(-third), 0.5)
}
