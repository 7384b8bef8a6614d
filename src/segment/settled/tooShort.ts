import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { normalQuantile } from '../../numeric/statistics/normalQuantile.js'
import { endPower, SAME_SHARE } from '../cut/part.js'
import type { DraftStage } from '../stages/draftStage.js'

/**
 * From a short-term level to the next: the ratio of the two, where there is a next.
 * Common practice, no source: thin chassis give 80 to 65 and 80 to 70 W, and some don't drop again at all.
 */
const NEXT_RATIO = { value: 0.8, standardError: 0.12 }
/** The same from a load's first level, which may be its burst (0.45 to 0.8 of it is held for good). Common practice, no source. */
const FIRST_RATIO = { value: 0.75, standardError: 0.17 }
/** How probable a first level is followed by a lower one, a later level by another, and one that is well below what the machine holds elsewhere. Common practice, no source. */
const FIRST_DROPS = 0.7
const NEXT_DROPS = 0.6
const WELL_BELOW_DROPS = 0.2
/** The same of a fall that is still under way. Common practice, no source. */
const FALL_DROPS = 0.3
/**
 * Half of the drops come within so long of a load's start, s; later ones get fewer as a log-logistic law has it: limits over seconds to a minute are
 * the rule, and those of the skin's temperature take minutes. Common practice, no source.
 */
const HALF_DROPPED_S = 40
const LATER_DROPS_POWER = 1.5
/** A level may still rise by so much while a chassis warms. Common practice, no source. */
const WARMING_SHARE = 0.03

export interface Watched {
  /** From the load's start to its end, s. */
  readonly lengthS: number
  /** The task asks for so little that no limit of the machine comes down on it: the log shows more to be held. */
  readonly wellBelow: boolean
}

/**
 * What a level may come to that ends too soon to tell: it stays, or drops once more by a usual ratio; the longer a load has been watched, the
 * less is left of the second.
 */
export function tooShort(drafts: readonly DraftStage[], level: Estimate, watched: Watched): Estimate {
  const powers = drafts.map(({ stretches }) => {
    const { part, run } = stretches.at(-1)!
    return endPower(part, run.series)
  })
  const back = powers.findIndex(
    (powerW, k) => isBelow(powerW, powers[k - 1]) && isBelow(powerW, ...powers.slice(k + 1)),
  )
  if (back >= 0) return comesAndGoes(drafts.slice(back), powers.slice(back), level)
  const before = powers.slice(0, -1)
  // Power that has just stepped up again goes back to where it was, or stays: no limit has come down on it.
  if (isBelow(before.at(-1) ?? level.value, level.value))
    return { ...level, low: Math.min(level.low, ...before) }
  const ratio = drafts.length === 1 ? FIRST_RATIO : NEXT_RATIO
  const prior = watched.wellBelow ? WELL_BELOW_DROPS : drafts.length === 1 ? FIRST_DROPS : NEXT_DROPS
  const drops = dropsLater(prior, watched.lengthS)
  const lowest = lowestRatio(drops, ratio)
  const shift = 1 - drops * (1 - ratio.value)
  return {
    value: level.value * shift,
    low: level.low * Math.min(lowest, shift),
    high: level.high * (1 + WARMING_SHARE),
    level: ESTIMATE_LEVEL,
  }
}

function isBelow(powerW: number, ...others: readonly (number | undefined)[]): boolean {
  return others.some((otherW) => otherW !== undefined && powerW < otherW * (1 - SAME_SHARE))
}

/** Power that fell and came back is no limit's to take away: its mean is the best guess, and it stays within the levels that it was seen at. */
function comesAndGoes(drafts: readonly DraftStage[], powers: readonly number[], level: Estimate): Estimate {
  const lengths = drafts.map(({ stretches }) =>
    stretches.reduce((sum, { startS, endS }) => sum + endS - startS, 0),
  )
  return {
    value:
      lengths.reduce((sum, lengthS, k) => sum + lengthS * powers[k]!, 0) /
      lengths.reduce((sum, lengthS) => sum + lengthS, 0),
    low: Math.min(level.low, ...powers),
    high: Math.max(level.high, ...powers),
    level: ESTIMATE_LEVEL,
  }
}

/** Least share of its level that a fall comes to, as far as another drop may follow it. */
export function lowestAfterFall(lengthS: number): number {
  return lowestRatio(dropsLater(FALL_DROPS, lengthS), NEXT_RATIO)
}

/** The ratio to the next level that is undercut as seldom as an interval's low end, where a drop is so probable. */
function lowestRatio(
  drops: number,
  ratio: { readonly value: number; readonly standardError: number },
): number {
  const tail = (1 - ESTIMATE_LEVEL) / 2
  return drops <= tail ? 1 : Math.min(1, ratio.value + ratio.standardError * normalQuantile(tail / drops))
}

/** Probability of a drop that is still to come, given that none came so far (Bayes). */
function dropsLater(prior: number, lengthS: number): number {
  const late = 1 / (1 + (lengthS / HALF_DROPPED_S) ** LATER_DROPS_POWER)
  return (prior * late) / (1 - prior + prior * late)
}
