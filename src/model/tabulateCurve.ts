import type { Chip } from '../physics/chip/chip.js'
import { type ChipPoint, chipAt } from '../physics/chip/chipAt.js'

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
  const stepW = roundStep((toW - fromW) / ROWS)
  const first = Math.ceil(fromW / stepW - 1e-9)
  const last = Math.floor(toW / stepW + 1e-9)
  return Array.from({ length: last - first + 1 }, (_, index) =>
    Number(((first + index) * stepW).toPrecision(12)),
  ).flatMap((powerW) => chipAt(chip, powerW) ?? [])
}

/** The smallest of 1, 2 or 5 times a power of ten that is not below the wish. */
function roundStep(wish: number): number {
  const decade = 10 ** Math.floor(Math.log10(wish))
  return decade * (([1, 2, 5].find((factor) => factor * decade >= wish * (1 - 1e-9)) ?? 10) as number)
}
