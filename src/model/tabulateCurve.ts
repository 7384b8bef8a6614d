import { roundTicks } from '../numeric/roundTicks.js'
import type { Chip } from '../physics/chip/chip.js'
import { type ChipPoint, chipAlong } from '../physics/chip/chipAt.js'

/** How far beyond the measured powers the table goes: far enough for the next chassis up or down. */
const BEYOND = 0.3

/** About this many rows. */
const ROWS = 24

/**
 * A chip's score curve as a table at round powers, from 30 % below to 30 % above what was measured.
 *
 * @returns rising powers; those where the chip might not run at all are left out
 */
export function tabulateCurve(chip: Chip): readonly ChipPoint[] {
  const [low, high] = chip.measuredRangeW
  const [fromW, toW] = [low * (1 - BEYOND), high * (1 + BEYOND)]
  return chipAlong(chip, roundTicks(fromW, toW, ROWS)).flatMap((point) => point ?? [])
}
