import type { ElasticityCourse } from '../../../physics/chip/scoreCurve.js'
import { normalAt, within } from './normalAt.js'
import type { PriorPowers } from './priorPowers.js'

/**
 * No physics: an elasticity that rises from level to level as power goes down, by about as much as in published sweeps. A random
 * walk of ln elasticity, from the middle of the measured range outwards, over four knots in the range and two levels beyond each end.
 *
 * Levels are put closer together where the score changes faster, so the walk goes by levels and not by watts.
 *
 * @param u - eight shares in [0, 1)
 * @source 65 published tables of score against power (CHANGELOG, DEVELOPERS.md): from one level to the next below, ln elasticity grows
 * by 0.25 to 0.4 in the median where it is below 0.4, by 0.4 to 0.75 up to 1, by 0.2 above, with a deviation of 0.1 to 0.5
 */
export function courseOfElasticity(u: ArrayLike<number>, powers: PriorPowers): ElasticityCourse {
  const { referenceW, lowestW, highestW, levels } = powers
  const span = Math.log(highestW / lowestW)
  const apart = within(0.06, 0.7, span / Math.max(1, levels - 1))
  const low = Math.log(lowestW / referenceW)
  const high = low + span
  const third = span / 3
  const thirdLevels = Math.max(LEAST_LEVELS, third / apart)
  // Knots 0 to 7; the walk starts at the fifth.
  const e = new Array<number>(8)
  e[4] = Math.exp(normalAt(u[0]!, Math.log(0.6), 0.7))
  e[3] = stepDown(e[4], u[1]!, thirdLevels)
  e[2] = stepDown(e[3], u[2]!, thirdLevels)
  e[1] = stepDown(e[2], u[3]!, 1)
  e[0] = stepDown(e[1], u[4]!, 1)
  e[5] = stepUp(e[4], u[5]!, thirdLevels)
  e[6] = stepUp(e[5], u[6]!, 1)
  e[7] = stepUp(e[6], u[7]!, 1)
  return {
    shape: 'elasticity-course',
    scale: 1,
    referenceW,
    topW: null,
    bend: null,
    knotsLn: [
      low - 2 * apart,
      low - apart,
      low,
      low + third,
      low + 2 * third,
      high,
      high + apart,
      high + 2 * apart,
    ],
    elasticities: e,
  }
}

/** Levels at one power still leave the slope of a third of them open. */
const LEAST_LEVELS = 0.5
/** Deviation of ln elasticity from one level to the next. */
const DEVIATION = 0.26
/** Rates that rise faster than this with power belong to a machine that all but stands still. */
const STEEPEST = 12
/** Those that rise slower can't be told from flat. */
const FLATTEST = 0.01

/** Elasticity some levels further down. */
function stepDown(elasticity: number, u: number, levelsOn: number): number {
  const grown = normalAt(u, growth(elasticity) * levelsOn, DEVIATION * Math.sqrt(levelsOn))
  return Math.min(STEEPEST, elasticity * Math.exp(grown))
}

/** Elasticity some levels further up: as much lower as the level there would grow on the way back. */
function stepUp(elasticity: number, u: number, levelsOn: number): number {
  const shrunk = normalAt(u, growth(elasticity / 1.4) * levelsOn, DEVIATION * Math.sqrt(levelsOn))
  return Math.max(FLATTEST, elasticity * Math.exp(-shrunk))
}

/** Growth of ln elasticity to the next level below: slow near the top clock, fast through the knee, slow on the voltage floor. */
function growth(elasticity: number): number {
  if (elasticity < 0.35) return 0.3
  return elasticity < 1 ? 0.45 : 0.2
}
