import { InputError } from '../../errors.js'
import { bendElasticity, bendLogRate, type ElasticityBend } from './elasticityBend.js'
import { courseElasticity, courseLogRate, type ElasticityKnots } from './elasticityCourse.js'
import {
  fillRelativeRates,
  relativeRate,
  relativeRateElasticity,
  type VoltageFloorShape,
} from './voltageFloor.js'

/** What every curve but the plain power law shares: it is pinned at a reference power and may be bent and topped. */
interface Anchored {
  /** Rate at `referenceW` (before the bend, which is 0 there). */
  readonly scale: number
  readonly referenceW: number
  /** Power above which the rate stays flat (top clock, or the workload's demand), W; null when none is known. */
  readonly topW: number | null
  /** Smooth departure from the shape, or null. */
  readonly bend: ElasticityBend | null
}

/** rate = scale x P^exponent, P in watts. */
export interface PowerLaw {
  readonly shape: 'power-law'
  readonly scale: number
  readonly exponent: number
}

/** rate = scale x ((P - fixedW) / (referenceW - fixedW))^exponent: a fixed part of the power buys no score. */
export interface OffsetPowerLaw extends Anchored {
  readonly shape: 'offset-power-law'
  readonly fixedW: number
  readonly exponent: number
}

/** ln(rate / scale) = slope t + curvature t², t = ln(P / referenceW), curvature <= 0; flat past its highest point. */
export interface LogQuadratic extends Anchored {
  readonly shape: 'log-quadratic'
  readonly slope: number
  readonly curvature: number
}

/** Physics of a chip with a lowest voltage, leakage and memory-bound work; see `voltageFloor.ts`. */
export interface VoltageFloor extends Anchored, VoltageFloorShape {
  readonly shape: 'voltage-floor'
}

/**
 * Two power laws with a smooth break between them: far below `breakW` the elasticity is `steep`, far above it `gentle`.
 *
 *   ln rate = gentle u - (steep - gentle) / sharpness x ln(1 + exp(-sharpness u)) + constant,  u = ln(P / breakW)
 *
 * The elasticity is gentle + (steep - gentle) / (1 + exp(sharpness u)), a logistic curve in ln P.
 *
 * @source smoothly broken power law, usual in astronomy (from memory)
 */
export interface BrokenPowerLaw extends Anchored {
  readonly shape: 'broken-power-law'
  readonly steep: number
  readonly gentle: number
  readonly sharpness: number
  readonly breakW: number
}

/** No formula: the elasticity is given at some powers; see `elasticityCourse.ts`. */
export interface ElasticityCourse extends Anchored, ElasticityKnots {
  readonly shape: 'elasticity-course'
}

/** The shapes that a score curve can take; every member gives a rate for a power. */
export type ScoreCurve = PowerLaw | AnchoredCurve

/**
 * Rate at a constant power: the score of a run, or 1/score when lower is better. Never falls as power rises.
 *
 * @param powerW - W; at 0 W the rate is 0
 * @example rateAt({ shape: 'power-law', scale: 100, exponent: 0.5 }, 64) // 800
 */
export function rateAt(curve: ScoreCurve, powerW: number): number {
  if (!(powerW > 0)) return 0
  if (curve.shape === 'power-law') return curve.scale * powerW ** curve.exponent
  const power = curve.topW !== null && powerW > curve.topW ? curve.topW : powerW
  const bent = curve.bend === null ? 1 : Math.exp(bendLogRate(curve.bend, Math.log(power / curve.referenceW)))
  return curve.scale * bent * shapeAt(curve, power)
}

/**
 * `rateAt` at many powers of one curve, which share what does not depend on the power.
 *
 * @param powersW - W, rising
 * @param out - receives a rate for each
 */
export function fillRates(curve: ScoreCurve, powersW: ArrayLike<number>, out: Float64Array): void {
  if (curve.shape === 'power-law') {
    for (let g = 0; g < out.length; g++) out[g] = rateAt(curve, powersW[g]!)
    return
  }
  fillShape(curve, powersW, out)
  const { scale, referenceW, topW, bend } = curve
  if (bend === null && topW === null && scale === 1) return
  for (let g = 0; g < out.length; g++) {
    const powerW = powersW[g]!
    if (topW !== null && powerW > topW) {
      out.fill(rateAt(curve, topW), g)
      return
    }
    const bent = bend === null || powerW <= 0 ? 1 : Math.exp(bendLogRate(bend, Math.log(powerW / referenceW)))
    out[g]! *= scale * bent
  }
}

/**
 * Elasticity d ln rate / d ln P: per cent of score for one per cent of power. 0 above the top, undefined at 0 W.
 *
 * @param powerW - W
 * @example elasticityAt({ shape: 'power-law', scale: 100, exponent: 0.5 }, 64) // 0.5
 */
export function elasticityAt(curve: ScoreCurve, powerW: number): number | undefined {
  if (!(powerW > 0)) return undefined
  if (curve.shape === 'power-law') return curve.exponent
  if (curve.topW !== null && powerW > curve.topW) return 0
  const own = shapeElasticity(curve, powerW)
  if (curve.bend === null) return own
  return own + bendElasticity(curve.bend, Math.log(powerW / curve.referenceW))
}

/**
 * Power at which a curve reaches a rate: the inverse of `rateAt`, to a relative 1e-12.
 *
 * @param rate - > 0, in the curve's own unit
 * @returns W, the least of those that reach it; undefined when no power below 1e5 W reaches that rate
 * @throws InputError `rate-not-positive`
 * @example powerForRate({ shape: 'power-law', scale: 100, exponent: 0.5 }, 800) // 64
 */
export function powerForRate(curve: ScoreCurve, rate: number): number | undefined {
  if (!(rate > 0)) throw new InputError('rate-not-positive', `expected a rate above 0, got ${rate}`)
  if (curve.shape === 'power-law') return (rate / curve.scale) ** (1 / curve.exponent)
  let low = Math.log(1e-3)
  let high = Math.log(1e5)
  if (rateAt(curve, Math.exp(high)) < rate) return undefined
  // Bisection on ln P: rates never fall with power, and a kink at the voltage floor would upset a faster method.
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2
    if (rateAt(curve, Math.exp(middle)) < rate) low = middle
    else high = middle
  }
  return Math.exp(high)
}

/** From ln(1e5 / 1e-3) to less than 1e-13. */
const HALVINGS = 48

type AnchoredCurve = OffsetPowerLaw | LogQuadratic | VoltageFloor | BrokenPowerLaw | ElasticityCourse

/**
 * Rate relative to the reference power, before bend and top. Near the power floor it goes on as a power law, with the
 * elasticity it has there: a chip that is given less skips clocks, and what is left all but vanishes, but is not nothing.
 */
function shapeAt(curve: AnchoredCurve, powerW: number): number {
  const steepW = steepBelow(curve)
  if (powerW >= steepW) return ownRate(curve, powerW)
  return ownRate(curve, steepW) * (powerW / steepW) ** ownElasticity(curve, steepW)
}

/** `shapeAt` at powers that rise. */
function fillShape(curve: AnchoredCurve, powersW: ArrayLike<number>, out: Float64Array): void {
  const steepW = steepBelow(curve)
  let from = 0
  while (from < out.length && (powersW[from]! < steepW || powersW[from]! <= 0)) {
    out[from] = powersW[from]! > 0 ? shapeAt(curve, powersW[from]!) : 0
    from++
  }
  if (curve.shape === 'voltage-floor') fillRelativeRates(curve, powersW, out, from)
  else if (curve.shape === 'broken-power-law') {
    const atReference = brokenLogRate(curve, curve.referenceW)
    for (let g = from; g < out.length; g++) out[g] = Math.exp(brokenLogRate(curve, powersW[g]!) - atReference)
  } else if (curve.shape === 'elasticity-course') {
    const atReference = courseLogRate(curve, 0)
    for (let g = from; g < out.length; g++) {
      out[g] = Math.exp(courseLogRate(curve, Math.log(powersW[g]! / curve.referenceW)) - atReference)
    }
  } else for (let g = from; g < out.length; g++) out[g] = ownRate(curve, powersW[g]!)
}

function shapeElasticity(curve: AnchoredCurve, powerW: number): number {
  return ownElasticity(curve, Math.max(powerW, steepBelow(curve)))
}

/** Share of the power that is left for work, below which a curve is continued as a power law. */
const LEAST_WORKING_SHARE = 0.1

/** Power, W, at which only that share is left; 0 for a shape without a fixed part. */
export function steepBelow(curve: AnchoredCurve): number {
  if (curve.shape !== 'voltage-floor' && curve.shape !== 'offset-power-law') return 0
  const leakageW = curve.shape === 'voltage-floor' ? curve.leakageW * curve.floorVoltage : 0
  return Math.max(0, curve.fixedW + leakageW) / (1 - LEAST_WORKING_SHARE)
}

function ownRate(curve: AnchoredCurve, powerW: number): number {
  switch (curve.shape) {
    case 'offset-power-law':
      return ((powerW - curve.fixedW) / (curve.referenceW - curve.fixedW)) ** curve.exponent
    case 'log-quadratic': {
      const t = Math.min(Math.log(powerW / curve.referenceW), vertex(curve))
      return Math.exp(t * (curve.slope + curve.curvature * t))
    }
    case 'broken-power-law':
      return Math.exp(brokenLogRate(curve, powerW) - brokenLogRate(curve, curve.referenceW))
    case 'elasticity-course':
      return Math.exp(courseLogRate(curve, Math.log(powerW / curve.referenceW)) - courseLogRate(curve, 0))
    case 'voltage-floor':
      return relativeRate(curve, powerW)
  }
}

function brokenLogRate({ steep, gentle, sharpness, breakW }: BrokenPowerLaw, powerW: number): number {
  const u = Math.log(powerW / breakW)
  const fall = -sharpness * u
  // Far below the break ln(1 + exp(x)) is x, where exp(x) would overflow.
  return gentle * u - ((steep - gentle) / sharpness) * (fall > 30 ? fall : Math.log1p(Math.exp(fall)))
}

function ownElasticity(curve: AnchoredCurve, powerW: number): number {
  switch (curve.shape) {
    case 'offset-power-law':
      return (curve.exponent * powerW) / (powerW - curve.fixedW)
    case 'log-quadratic': {
      const t = Math.log(powerW / curve.referenceW)
      return t > vertex(curve) ? 0 : curve.slope + 2 * curve.curvature * t
    }
    case 'broken-power-law': {
      const { steep, gentle, sharpness, breakW } = curve
      return gentle + (steep - gentle) / (1 + (powerW / breakW) ** sharpness)
    }
    case 'elasticity-course':
      return courseElasticity(curve, Math.log(powerW / curve.referenceW))
    case 'voltage-floor':
      return relativeRateElasticity(curve, powerW) ?? 0
  }
}

/** Where a log-quadratic curve is highest, as ln(P / referenceW). */
function vertex(curve: LogQuadratic): number {
  return curve.curvature < 0 ? -curve.slope / (2 * curve.curvature) : Number.POSITIVE_INFINITY
}
