import type { ElasticityBend } from '../../physics/chip/elasticityBend.js'
import { elasticityAt, type ScoreCurve } from '../../physics/chip/scoreCurve.js'
import type { ProfileGrid } from './gridProfiles.js'
import type { LinearPart } from './linearPart.js'
import type { CandidateCurve } from './prior/curvePrior.js'
import type { RunHeat } from './runHeat.js'

/**
 * Everything linear in ln score: scale, a bend away from the candidate's shape, leakage that grows with temperature, a level of
 * temperature that nobody measured, an offset of each sheet when several are pooled, and errors of powers noted by hand. Coefficients in this order: scale,
 * tilt, steps above, steps below, fall per kelvin (beyond its prior mean), unknown level, sheet offsets, noted powers.
 */
export function scoreBasis(options: {
  readonly grid: ProfileGrid
  readonly referenceW: number
  /** Number of each run's sheet, counted from 0. */
  readonly sheets: readonly number[]
  readonly heat: RunHeat
  /** Relative standard deviation of each run's power beyond what a log would have; 0 for a log. */
  readonly powerUncertainties: readonly number[]
  readonly spread: Float64Array
  /** Elasticity at the reference, as far as known: a steeper curve may bend in proportion. */
  readonly elasticity: number
  /** Elasticity at each run's power, as far as known: what an error of a noted power makes of the score. */
  readonly elasticities: readonly number[]
}): LinearPart {
  const sheetCount = Math.max(...options.sheets) + 1
  const notedFrom = OFFSETS_FROM + (sheetCount > 1 ? sheetCount : 0)
  const noted = options.powerUncertainties.flatMap((uncertainty, k) => (uncertainty > 0 ? [k] : []))
  const columns = notedFrom + noted.length
  const basis = options.grid.weights.map((row, k) => {
    const out = new Float64Array(columns)
    addShapeColumns(out, options.grid.powersW, row, options.referenceW)
    out[HEAT_COLUMN] = -options.heat.heatK[k]!
    if (!options.heat.measured) out[LEVEL_COLUMN] = 1
    if (sheetCount > 1) out[OFFSETS_FROM + options.sheets[k]!] = 1
    if (noted.includes(k))
      out[notedFrom + noted.indexOf(k)] =
        Math.max(LEAST_ELASTICITY, options.elasticities[k]!) * options.powerUncertainties[k]!
    return out
  })
  const variances = new Float64Array(columns).fill(SHEET_DEVIATION ** 2)
  const size = Math.max(1, options.elasticity / USUAL_ELASTICITY)
  variances[0] = SCALE_DEVIATION ** 2
  variances[1] = (size * TILT_DEVIATION) ** 2
  variances.fill((size * STEP_DEVIATION) ** 2, 2, HEAT_COLUMN)
  variances[HEAT_COLUMN] = HEAT_DEVIATION ** 2
  variances[LEVEL_COLUMN] = LEVEL_DEVIATION ** 2
  variances.fill(1, notedFrom)
  return { basis, variances, spread: options.spread }
}

/**
 * Fall of ln rate per kelvin of leakage heat, before any data: elasticity 0.5, leakage 19 % of the package, 1.25 % more of it
 * per kelvin.
 */
export const HEAT_PER_K = 0.0012

/** The fall per kelvin that drawn coefficients describe; silicon never leaks less when hot. */
export function heatFromCoefficients(coefficients: Float64Array): number {
  return Math.max(0, HEAT_PER_K + coefficients[HEAT_COLUMN]!)
}

/**
 * The bend that drawn coefficients describe, held back where it would make the rate fall with power.
 *
 * @param room - that of the candidate that is bent
 */
export function bendFromCoefficients(coefficients: Float64Array, room: BendRoom): ElasticityBend {
  const tilt = Math.max(coefficients[1]!, -room.atReference)
  const above = coefficients.subarray(2, 2 + STEPS)
  const below = coefficients.subarray(2 + STEPS, 2 + 2 * STEPS)
  const held = (steps: Float64Array, lowest: (knot: number) => number): readonly number[] => {
    let sum = tilt
    return Array.from(steps, (step, j) => {
      // No curve falls by itself, so one that is bent up has room whatever its lowest elasticity.
      const kept = step + sum >= 0 ? step : Math.max(step, -lowest(j) - sum)
      sum += kept
      return kept
    })
  }
  return { tilt, stepLn: STEP_LN, above: held(above, room.above), below: held(below, room.below) }
}

/** How far a curve's elasticity may fall before its rate falls with power: elasticity at the reference, and lowest by knot. */
export interface BendRoom {
  readonly atReference: number
  readonly above: (knot: number) => number
  readonly below: (knot: number) => number
}

/** The room of a candidate, for all draws of it. */
export function bendRoom(curve: CandidateCurve): BendRoom {
  const lowest = (sign: number) => lowestBetweenKnots(curve, sign)
  return { atReference: elasticity(curve, curve.referenceW), above: lowest(1), below: lowest(-1) }
}

/**
 * Lowest elasticity of the unbent curve between one knot and the next, by knot; beyond the last as far as anybody asks. Each is found
 * when it is first asked for: most never are.
 */
function lowestBetweenKnots(curve: CandidateCurve, sign: number): (knot: number) => number {
  const known: number[] = []
  return (knot) => {
    if (known[knot] !== undefined) return known[knot]
    const end = knot === STEPS - 1 ? PARTS * (knot + LAST_STEPS) : PARTS * (knot + 1)
    let lowest = Number.POSITIVE_INFINITY
    for (let n = PARTS * knot; n <= end; n++) {
      lowest = Math.min(lowest, elasticity(curve, curve.referenceW * Math.exp((sign * n * STEP_LN) / PARTS)))
    }
    known[knot] = lowest
    return lowest
  }
}

/** Points looked at from one knot to the next. */
const PARTS = 4
/** Knots of the bend: 8 steps of 0.15 in ln power reach 3.3 times the reference and as far below. */
const STEPS = 8
const STEP_LN = 0.15
/** The last step reaches this many steps on: to six times the reference. */
const LAST_STEPS = 5
const HEAT_COLUMN = 2 + 2 * STEPS
const LEVEL_COLUMN = HEAT_COLUMN + 1
const OFFSETS_FROM = LEVEL_COLUMN + 1
/** Leakage from 5 to 30 %, growth from 1 to 2 % per kelvin, elasticity from 0.35 to 0.6: a quarter to three times the mean. */
export const HEAT_DEVIATION = 0.0009
/** A machine's settled temperature is within about 10 K of the usual: 10 K x 0.0012. */
const LEVEL_DEVIATION = 0.012
/** Flat enough to leave the scale to the data: ln score is measured from its mean. */
const SCALE_DEVIATION = 3
/** Elasticity may be off by this much from every family's. */
const TILT_DEVIATION = 0.04
/** Further departure of the elasticity in each step of 0.15: a random walk of 0.1 per square root of ln power. */
const STEP_DEVIATION = 0.1 * Math.sqrt(STEP_LN)
/** A noted power's error is never taken to mean less than this elasticity makes of it: what is flat may not be. */
const LEAST_ELASTICITY = 0.3
/** Elasticity of score to package power that the two deviations above are meant for. */
const USUAL_ELASTICITY = 0.6
/** Unit-to-unit deviation of the score of two machines with the same chip at equal power. */
export const SHEET_DEVIATION = 0.01

function addShapeColumns(
  out: Float64Array,
  powersW: Float64Array,
  row: Float64Array,
  referenceW: number,
): void {
  let total = 0
  for (let g = 0; g < row.length; g++) {
    if (row[g] === 0) continue
    // Time at higher power makes more of the score: about by its square root.
    const weight = row[g]! * Math.sqrt(powersW[g]!)
    const t = Math.log(powersW[g]! / referenceW)
    total += weight
    out[1]! += weight * t
    const first = t >= 0 ? 2 : 2 + STEPS
    const sign = t >= 0 ? 1 : -1
    for (let j = 0; j < STEPS && j * STEP_LN < sign * t; j++) {
      out[first + j]! += weight * (t - sign * j * STEP_LN)
    }
  }
  for (let j = 1; j < 2 + 2 * STEPS; j++) out[j]! /= total
  out[0] = 1
}

function elasticity(curve: ScoreCurve, powerW: number): number {
  return elasticityAt(curve, powerW) ?? 1
}
