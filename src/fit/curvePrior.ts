import type { LogQuadratic, OffsetPowerLaw, VoltageFloor } from '../curves/scoreCurve.js'
import { kroneckerPoints } from '../numeric/kroneckerPoint.js'
import { normalQuantile } from '../numeric/normalQuantile.js'

/** A candidate curve with rate 1 at the reference power, and its prior weight. */
export interface Candidate {
  readonly weight: number
  readonly curve: OffsetPowerLaw | LogQuadratic | VoltageFloor
}

/**
 * Candidate score curves that fill the prior evenly: a deterministic sample of each family, rate 1 at the reference power.
 *
 * The prior says what published voltage-frequency tables and physics say: see the constants below.
 *
 * @param referenceW - power in the middle of what was measured, W
 * @param topW - demand of the workload when it was seen, else null
 * @param highestW - highest power measured, W: without a known demand the chip may run out of clock anywhere above it
 */
export function curvePrior(options: {
  readonly referenceW: number
  readonly topW: number | null
  readonly highestW: number
}): readonly Candidate[] {
  const candidates: Candidate[] = []
  for (const family of FAMILIES) {
    for (const point of kroneckerPoints(family.count, 8)) {
      const topW = options.topW ?? ownTopW(point[7]!, options.highestW)
      const anchored = { scale: 1, referenceW: options.referenceW, topW, bend: null }
      candidates.push({ weight: family.weight / family.count, curve: family.make(point, anchored) })
    }
  }
  return candidates
}

type Anchor = Pick<VoltageFloor, 'scale' | 'referenceW' | 'topW' | 'bend'>

const FAMILIES = [
  { count: 3000, weight: 0.7, make: voltageFloor },
  { count: 500, weight: 0.15, make: offsetPowerLaw },
  { count: 500, weight: 0.15, make: logQuadratic },
] as const

function voltageFloor(u: readonly number[], anchor: Anchor): VoltageFloor {
  const { referenceW } = anchor
  const fixed = fixedShare(u[0]!)
  const leakage = (1 - fixed) * leakageShare(u[1]!)
  const slope = (1 / dynamicElasticity(u[2]!) - 1) / 2
  const quadraticShare = u[3]! < 0.35 ? 0 : (u[3]! - 0.35) / 0.65
  const linear = slope * (1 - quadraticShare)
  const quadratic = (slope * quadraticShare) / 2
  const floorClock = 0.25 * (1.2 / 0.25) ** u[4]!
  const x = Math.min(1, floorClock)
  const floorVoltage = Math.max(0.55, 1 + linear * (x - 1) + quadratic * (x * x - 1))
  const memory = memoryWork(u[5]!, u[6]!)
  return {
    ...anchor,
    shape: 'voltage-floor',
    fixedW: fixed * referenceW,
    leakageW: leakage * referenceW,
    dynamicW: (1 - fixed - leakage) * referenceW,
    linear,
    quadratic,
    voltageClock: Math.max(1, floorClock),
    floorVoltage,
    ...memory,
  }
}

function offsetPowerLaw(u: readonly number[], anchor: Anchor): OffsetPowerLaw {
  return {
    ...anchor,
    shape: 'offset-power-law',
    fixedW: fixedShare(u[0]!) * anchor.referenceW,
    exponent: truncatedNormal(u[1]!, 0.48, 0.13, 0.1, 1),
  }
}

function logQuadratic(u: readonly number[], anchor: Anchor): LogQuadratic {
  return {
    ...anchor,
    shape: 'log-quadratic',
    slope: truncatedNormal(u[0]!, 0.55, 0.25, 0.05, 2.5),
    curvature: 0.25 * Math.log(1 - u[1]!),
  }
}

/** Share of the reference power that buys no score: small in packages, up to two thirds on whole boards (cap sweeps). */
function fixedShare(u: number): number {
  return 0.75 * u ** 2.5
}

function leakageShare(u: number): number {
  return 0.02 + 0.28 * u
}

/** Elasticity of clock to dynamic power at the reference: 47 published voltage-frequency tables. */
function dynamicElasticity(u: number): number {
  return truncatedNormal(u, 0.48, 0.1, 0.28, 0.9)
}

function memoryWork(u: number, v: number): { readonly memoryShare: number; readonly overlap: number } {
  const memoryShare = u < 0.4 ? 0 : 0.75 * ((u - 0.4) / 0.6) ** 2
  const overlap = v < 0.8 || memoryShare === 0 ? 1 : 8 ** ((v - 0.8) / 0.2)
  return { memoryShare, overlap }
}

/** Chance per unit of ln power, above the highest power seen, that the chip runs out of clock. */
const TOP_HAZARD = 0.25

function ownTopW(u: number, highestW: number): number | null {
  const distance = -Math.log(1 - u) / TOP_HAZARD
  return distance > 1.5 ? null : highestW * Math.exp(distance)
}

function truncatedNormal(u: number, mean: number, sd: number, low: number, high: number): number {
  // 400 equal steps are finer than anything the data can tell.
  return Math.min(high, Math.max(low, mean + sd * normalQuantile(Math.min(0.9995, Math.max(0.0005, u)))))
}
