import {
  type BrokenPowerLaw,
  type ElasticityCourse,
  elasticityAt,
  type VoltageFloor,
} from '../../../physics/chip/scoreCurve.js'
import { brokenLaw } from './brokenLaw.js'
import { courseOfElasticity } from './courseOfElasticity.js'
import { packageCurve } from './packageCurve.js'
import type { PriorPowers } from './priorPowers.js'

/** A candidate curve with rate 1 at the reference power (before any coefficient). */
export type CandidateCurve = BrokenPowerLaw | ElasticityCourse | VoltageFloor

/** A family of shapes: every point of the unit cube is one curve, and the prior is uniform over the cube. */
export interface CurveFamily {
  readonly shape: CandidateCurve['shape']
  /** Prior probability of the family. */
  readonly probability: number
  curveAt(point: ArrayLike<number>): CandidateCurve
}

/** Coordinates of a curve in its family's unit cube. */
export const PRIOR_DIMENSIONS = 8

/**
 * The prior over score curves: three families, each spread over its unit cube by what published tables and physics say.
 *
 * A log shows one machine at one setting, mostly a package. Levels noted one by one are sweeps over settings: they go down to the
 * voltage floor and up to the top clock, of boards as of packages. How much more probable each family is there is a judgement, checked on
 * 65 published tables (noted) and simulated worlds (logged).
 */
export function curvePrior(powers: PriorPowers): readonly CurveFamily[] {
  const { referenceW, idleW } = powers
  const shares = powers.noted ? FAMILY_SHARES.noted : FAMILY_SHARES.logged
  return [
    {
      shape: 'voltage-floor',
      probability: shares.package,
      curveAt: (u) => packageCurve(u, referenceW, idleW),
    },
    {
      shape: 'elasticity-course',
      probability: shares.course,
      curveAt: (u) => courseOfElasticity(u, powers),
    },
    { shape: 'broken-power-law', probability: shares.broken, curveAt: (u) => brokenLaw(u, powers) },
  ]
}

const FAMILY_SHARES = {
  logged: { package: 0.8, course: 0.1, broken: 0.1 },
  noted: { package: 0.1, course: 0.5, broken: 0.4 },
} as const

/**
 * Power above which a curve stays flat, for one share of the prior on it: anywhere above the highest power measured the chip may
 * run out of clock, or the workload meet its ceiling. The data, all below, say nothing of it. A curve with a top of its own keeps it.
 *
 * @param u - share in [0, 1)
 * @param highestW - highest power measured, W
 * @returns W, or null when it is too far up to matter
 */
export function topPower(curve: CandidateCurve, u: number, highestW: number): number | null {
  if (curve.topW !== null) return curve.topW
  // The other families fall off by themselves.
  const ownFall = curve.shape !== 'voltage-floor'
  const steepness = ownFall ? 0 : Math.max(0, (elasticityAt(curve, highestW) ?? 1) - 0.8)
  const distance = -Math.log(1 - u) / (TOP_HAZARD + STEEP_HAZARD * steepness)
  return distance > TOP_REACH ? null : highestW * Math.exp(distance)
}

/** Chance per unit of ln power, above the highest power seen, that the chip runs out of clock; a judgement, no source. */
const TOP_HAZARD = 0.25
/**
 * More of it for each unit of elasticity beyond 0.8 that is left at the highest power: a score that still rises as fast as
 * total power must meet its ceiling soon. In cap sweeps of a board the elasticity falls from 1.6 to below 0.6 within a tenth
 * (T. Desai et al. 2025, as above).
 */
const STEEP_HAZARD = 1
/** Above 4.5 times the highest power seen nobody asks. */
const TOP_REACH = 1.5
