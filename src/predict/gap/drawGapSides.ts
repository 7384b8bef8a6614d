import { kroneckerPoint } from '../../numeric/statistics/kroneckerPoint.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'
import type { Chip, WeightedCurve } from '../../physics/chip/chip.js'
import { rateTable } from '../../physics/chip/rateTable.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { machineFromChassis, scoresNeeded } from '../projection/machineFromChassis.js'
import type { GapMachine } from './gapMachine.js'

/** One possible machine: a drawn chip in a drawn chassis, with the loop it was tested in. */
export interface GapSide {
  readonly chip: Chip
  readonly chassis: Chassis
  readonly machine: LoopMachine
  readonly loop: { readonly runs: number; readonly gapS: number }
  readonly rate: (powerW: number) => number
  readonly heatPerK: number
}

/** A possible pair of machines. */
export interface GapDraw {
  readonly one: GapSide
  readonly two: GapSide
}

/** Pairs of draws: enough for a 90 % interval's ends to stand, few enough for a second. */
const PAIRS = 96

/**
 * Evenly spread pairs of two possible machines. A chip or a chassis that both share is the same in every pair, so that it
 * explains nothing of their gap.
 */
export function drawGapSides(one: GapMachine, two: GapMachine): GapDraw[] {
  // Sheets of one chip are fitted together, to the same curve.
  const sharedChip = one.chip === two.chip || one.chip.name === two.chip.name
  const counts = [scoresNeeded(one.chassis), scoresNeeded(two.chassis)] as const
  const sharedChassis = JSON.stringify(one.chassis) === JSON.stringify(two.chassis)
  const curves = sharedChip ? one.chip.draws : two.chip.draws
  const dimensions = 2 + counts[0] + counts[1]
  return Array.from({ length: PAIRS }, (_, k) => {
    const point = kroneckerPoint(k, dimensions)
    const scores = point.slice(2).map(normalScore)
    return {
      one: sideOf(one, point[0]!, scores.slice(0, counts[0]), one.chip.draws),
      two: sideOf(
        two,
        sharedChip ? point[0]! : point[1]!,
        sharedChassis ? scores.slice(0, counts[0]) : scores.slice(counts[0]),
        curves,
      ),
    }
  })
}

function sideOf(
  { chip, chassis, loop }: GapMachine,
  share: number,
  scores: readonly number[],
  draws: readonly WeightedCurve[],
): GapSide {
  const draw = drawAt(draws, share)
  return {
    chip,
    chassis,
    loop,
    // The chip's own demand is asked for where it meets a chassis.
    machine: machineFromChassis(chassis, { demandW: null }, scores),
    rate: rateTable(draw.curve),
    heatPerK: draw.heatPerK ?? 0,
  }
}

/** The draw at a share of the running sum of weights. */
function drawAt(draws: readonly WeightedCurve[], share: number): WeightedCurve {
  let sum = 0
  for (const draw of draws) {
    sum += draw.weight
    if (sum >= share) return draw
  }
  return draws.at(-1)!
}
