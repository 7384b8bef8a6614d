import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { endPower, SAME_SHARE } from '../cut/part.js'
import type { HoldLabel } from '../load.js'
import type { DraftStage } from '../stages/draftStage.js'

/**
 * From a short-term level to the settled one: the ratio of the two.
 * Common practice, no source: thin chassis give 80 to 65 and 80 to 70 W, and some don't drop again at all.
 */
const NEXT_RATIO = { value: 0.8, standardError: 0.12 }
/** The same from a load's first level, which may be its burst (0.45 to 0.8 of it is held for good) or all there is. Common practice, no source. */
const FIRST_RATIO = { value: 0.75, standardError: 0.17 }
/** The same of a level that the task itself asks for: it stays, unless heat or a limit is still to act. Common practice, no source. */
const DEMAND_RATIO = { value: 0.95, standardError: 0.12 }
/** What a level may come to that ends too soon to tell. */
export function tooShort(drafts: readonly DraftStage[], level: Estimate, proven: HoldLabel | null): Estimate {
  const before = drafts.slice(0, -1).map(({ stretches }) => {
    const { part, run } = stretches.at(-1)!
    return endPower(part, run.series)
  })
  // Power that has just stepped up again goes back to where it was, or stays: no limit has come down on it.
  const lastW = before.at(-1) ?? level.value
  if (lastW < level.value * (1 - SAME_SHARE)) return { ...level, low: Math.min(level.low, ...before) }
  if (proven === 'demand') return scale(level, DEMAND_RATIO)
  return scale(level, drafts.length === 1 ? FIRST_RATIO : NEXT_RATIO)
}

function scale(level: Estimate, ratio: { readonly value: number; readonly standardError: number }): Estimate {
  const half = ESTIMATE_EDGE * ratio.standardError
  return {
    value: level.value * ratio.value,
    low: level.low * (ratio.value - half),
    high: level.high * (ratio.value + half),
    level: ESTIMATE_LEVEL,
  }
}
