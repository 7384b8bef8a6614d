import type { BrokenPowerLaw } from '../../../physics/chip/scoreCurve.js'
import { normalAt, within } from './normalAt.js'
import type { PriorPowers } from './priorPowers.js'

/**
 * No physics: the elasticity falls from about 1.8 to about 0.2 around some power in or near the measured range. Levels are put
 * closer together where the score changes faster, so the break is as wide as a level's distance, within a factor of two: from one level to the
 * next the elasticity falls by about a third, whatever the distance.
 *
 * @param u - four shares in [0, 1)
 * @source 65 published tables of score against power (CHANGELOG, DEVELOPERS.md): one level on, ln elasticity changes by 0.4 (0.3), with no
 * trend in the distance
 */
export function brokenLaw(u: ArrayLike<number>, powers: PriorPowers): BrokenPowerLaw {
  const { referenceW, lowestW, highestW, levels } = powers
  const span = Math.log(highestW / lowestW)
  const apart = within(0.06, 0.7, span / Math.max(1, levels - 1))
  const steep = Math.exp(normalAt(u[0]!, Math.log(1.8), 0.45))
  const gentle = Math.min(0.95 * steep, Math.exp(normalAt(u[1]!, Math.log(0.22), 0.7)))
  const sharpness = Math.min(60, Math.exp(normalAt(u[2]!, Math.log(0.9), 0.7)) / apart)
  const breakW = breakPower(u[3]!, lowestW, span)
  return {
    shape: 'broken-power-law',
    scale: 1,
    referenceW,
    topW: null,
    bend: null,
    steep,
    gentle,
    sharpness,
    breakW,
  }
}

/** Anywhere in the measured range or a half beyond; one break in seven just below the lowest level, where sweeps often end. */
function breakPower(u: number, lowestW: number, span: number): number {
  if (u < EDGE_SHARE) return lowestW * Math.exp(0.02 - 0.2 * (u / EDGE_SHARE))
  return lowestW * Math.exp((span + 2 * BEYOND) * ((u - EDGE_SHARE) / (1 - EDGE_SHARE)) - BEYOND)
}

const EDGE_SHARE = 0.15
/** In ln power. */
const BEYOND = 0.4
