import { multiplesWithin, roundStepBelow } from '../../numeric/roundTicks.js'

/**
 * Round powers across what all ranges share, or across what lies between them when they share nothing.
 *
 * @param rangesW - lowest and highest power of each, W
 * @returns three to seven rising watts, multiples of 1, 2 or 5 times a power of ten; one when the range is a point
 * @example roundPowers([[44, 96], [52, 110]]) // [60, 70, 80, 90]
 */
export function roundPowers(rangesW: readonly (readonly [number, number])[]): readonly number[] {
  const inner = [Math.max(...rangesW.map((r) => r[0])), Math.min(...rangesW.map((r) => r[1]))] as const
  const [low, high] = inner[0] <= inner[1] ? inner : ([inner[1], inner[0]] as const)
  // Never below 1 W: comparisons at fractions of a watt say nothing more.
  const powers = multiplesWithin(low, high, roundStepBelow(Math.max(1, (high - low) / 4)))
  return powers.length > 0 ? powers : [Math.round(Math.sqrt(low * high))]
}
