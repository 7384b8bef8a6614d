import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { HoldLabel } from '../../segment/load.js'

/**
 * Whether a result depends on power at all. `task`: the task asks for no more power than it gets. `unclear`: the test can't tell,
 * as when all runs were at one power.
 */
export type PowerVerdict = 'yes' | 'no' | 'task' | 'unclear'

/** A tenth of the power moves the score by less than a hundredth: less than runs of a quiet machine differ; common practice, no source. */
const NO_ELASTICITY = 0.1

/**
 * Judges by the elasticity at the power that was held, and by what held it.
 *
 * @param elasticity - per cent of score for one per cent of power
 */
export function dependsOnPower(elasticity: Estimate, heldBy: HoldLabel | null): PowerVerdict {
  if (heldBy === 'demand') return 'task'
  if (elasticity.high < NO_ELASTICITY) return 'no'
  return elasticity.low > NO_ELASTICITY ? 'yes' : 'unclear'
}
