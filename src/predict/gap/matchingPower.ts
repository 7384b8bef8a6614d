import { findRoot } from '../../numeric/findRoot.js'
import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import { steadyRun } from '../projection/steadyRun.js'
import { settledPower, withSustained } from '../projection/withSustained.js'
import type { GapDraw, GapSide } from './drawGapSides.js'

/** What a machine would have to hold to reach another's steady score; `sustainedW` is null when no power would do. */
export interface MatchingPower {
  readonly machine: string
  readonly sustainedW: Estimate | null
  /** What it holds as tested, W. */
  readonly heldW: number
}

/** Power beyond which no match is looked for: a chassis would have to be another machine altogether. */
const HIGHEST_FACTOR = 3
/** Draws that are searched: each costs half a dozen loops. */
const SEARCHED = 24
/** Share of a power, finer than any is known. */
const FINEST = 1e-3

/**
 * Finds the sustained power with which the machine that is behind would reach the other's steady score, everything else about
 * it unchanged. Most draws must have such a power for there to be one.
 */
export function matchingPower(
  draws: readonly GapDraw[],
  behind: {
    readonly isOne: boolean
    readonly machine: string
    readonly heldW: number
    /** Score that is wanted over the score as it is, for each draw. */
    readonly factors: readonly number[]
  },
): MatchingPower {
  const sides = draws.map((draw) => (behind.isOne ? draw.one : draw.two))
  const found = sides.slice(0, SEARCHED).map((side, k) => search(side, behind.factors[k]!))
  const reached = found.filter((powerW): powerW is number => powerW !== null)
  const enough = reached.length > 0.9 * found.length
  return {
    machine: behind.machine,
    sustainedW: enough ? estimateFromDraws({ values: reached }) : null,
    heldW: behind.heldW,
  }
}

function search(side: GapSide, factor: number): number | null {
  const scoreAt = (powerW: number) =>
    steadyRun(capped(side, withSustained(side.machine, powerW)), side, side.loop).score
  const heldW = settledPower(side.machine)
  const goal = steadyRun(capped(side, side.machine), side, side.loop).score * factor
  const isLower = side.chip.workload.better === 'lower'
  /** Above 0 where a power does more than is asked for. */
  const surplus = (powerW: number) => Math.log(scoreAt(powerW) / goal) * (isLower ? -1 : 1)
  // A draw may have the machine ahead as it is, though it is behind in the middle of them: less power would do there.
  const isAhead = isLower ? factor > 1 : factor < 1
  if (isAhead) return findRoot(surplus, [heldW / HIGHEST_FACTOR, heldW], FINEST)
  const highestW = HIGHEST_FACTOR * heldW
  return surplus(highestW) < 0 ? null : findRoot(surplus, [heldW, highestW], FINEST)
}

function capped({ chip }: GapSide, machine: GapSide['machine']): GapSide['machine'] {
  return chip.demandW === null ? machine : { ...machine, peakW: Math.min(machine.peakW, chip.demandW) }
}
