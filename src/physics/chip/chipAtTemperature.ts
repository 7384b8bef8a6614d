import type { Chip } from './chip.js'
import { leakageGrowth, leakageHeat } from './leakageHeat.js'

/**
 * The same chip told at another temperature: what leaks more when hot is not there for the clock.
 *
 * @param temperatureC - degrees C that the curves are to hold for; null: whatever they hold for
 * @returns the chip itself where its temperature is not known, or is that already
 * @example chipAtTemperature(chip, 60).referenceC // 60
 */
export function chipAtTemperature(chip: Chip, temperatureC: number | null): Chip {
  const { referenceC } = chip
  if (temperatureC === null || referenceC === undefined || referenceC === temperatureC) return chip
  const heatK = leakageHeat(temperatureC, referenceC)
  // Leakage grows exponentially, so a kelvin takes more the hotter the chip is.
  const growth = leakageGrowth(temperatureC, referenceC)
  const draws = chip.draws.map(({ curve, heatPerK = 0, ...draw }) => ({
    ...draw,
    curve: { ...curve, scale: curve.scale * Math.exp(-heatPerK * heatK) },
    heatPerK: heatPerK * growth,
  }))
  return { ...chip, referenceC: temperatureC, draws }
}

/** Temperature halfway between those that chips are told at, whole degrees C; null where that of none is known. */
export function middleTemperature(chips: readonly Pick<Chip, 'referenceC'>[]): number | null {
  const known = chips.flatMap(({ referenceC }) => referenceC ?? [])
  if (known.length === 0) return null
  return Math.round(known.reduce((sum, referenceC) => sum + referenceC, 0) / known.length)
}
