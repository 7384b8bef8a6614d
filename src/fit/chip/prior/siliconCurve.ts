import type { VoltageFloor } from '../../../physics/chip/scoreCurve.js'
import { clockAtPower } from '../../../physics/chip/voltageFloor.js'
import { normalAt, within } from './normalAt.js'
import type { PriorPowers } from './priorPowers.js'

/**
 * A chip or board told at its top clock, with the measured powers anywhere below: so steep curves and large fixed shares go with powers
 * low in its range, flat ones with powers near the top, and above the top the score stays flat.
 *
 * @param u - eight shares in [0, 1)
 * @source ranges from fits of the same formula to 65 published tables (misfit 0.3 % in the median): fixed power 1 to 48 % of the top's,
 * floor's end at 0.35 to 0.97 of the top clock, elasticity to dynamic power at the top 0.1 to 0.7, where 47 voltage tables have 0.43
 */
export function siliconCurve(u: ArrayLike<number>, powers: PriorPowers): VoltageFloor {
  const { referenceW, highestW } = powers
  const shape = voltageShape(u)
  const { leakage, voltageAt } = shape
  const powerAt = (x: number) => leakage * voltageAt(x) + (1 - leakage) * x * voltageAt(x) ** 2
  const clockSeen = u[7]! < TOP_SEEN ? 1 : 0.15 ** (1 - (u[7]! - TOP_SEEN) / (1 - TOP_SEEN))
  const { fixedW, workingW } = dividePower(u[0]!, powers, powerAt(clockSeen))
  const atTop = {
    shape: 'voltage-floor' as const,
    scale: 1,
    referenceW,
    // A hair above, so that the highest run itself is not cut.
    topW: clockSeen < 1 ? fixedW + workingW : highestW * 1.0001,
    bend: null,
    fixedW,
    leakageW: workingW * leakage,
    dynamicW: workingW * (1 - leakage),
    linear: shape.linear,
    quadratic: shape.quadratic,
    voltageClock: 1,
    floorVoltage: shape.floorVoltage,
    memoryShare: 0,
    overlap: 1,
  }
  // Clocks are told relative to that at the reference.
  const clock = Math.max(1e-3, clockAtPower(atTop, referenceW))
  const { share, overlap } = memoryWork(u[5]!, u[6]!)
  const memoryShare = share === 0 ? 0 : share / ((1 - share) * clock ** -overlap + share)
  return { ...atTop, dynamicW: atTop.dynamicW * clock, voltageClock: 1 / clock, memoryShare, overlap }
}

/** The top itself was measured: one test in twelve, a judgement. */
const TOP_SEEN = 0.08

function voltageShape(u: ArrayLike<number>) {
  const leakage = 0.02 + 0.28 * u[1]!
  const slope = (1 / within(0.15, 0.9, normalAt(u[2]!, 0.48, 0.14)) - 1) / 2
  const quadraticShare = u[3]! < 0.35 ? 0 : (u[3]! - 0.35) / 0.65
  const linear = slope * (1 - quadraticShare)
  const quadratic = (slope * quadraticShare) / 2
  const voltage = (x: number) => 1 + linear * (x - 1) + quadratic * (x * x - 1)
  const floorVoltage = Math.max(0.3, voltage(within(0.15, 1, normalAt(u[4]!, 0.66, 0.2))))
  const voltageAt = (x: number) => Math.max(floorVoltage, voltage(x))
  return { leakage, linear, quadratic, floorVoltage, voltageAt }
}

/** Fixed and working power at the top, W, from what is drawn at the highest power measured: `share` of the top's working power. */
function dividePower(u: number, { highestW, idleW }: PriorPowers, share: number) {
  // Where idle power was seen, that is about what buys no score; one test in twenty keeps the wide range.
  if (idleW !== null && u < 0.95) {
    const fixedW = Math.min(0.7 * highestW, idleW * Math.exp(normalAt(u / 0.95, 0, 0.6)))
    return { fixedW, workingW: (highestW - fixedW) / share }
  }
  const fixed = 0.6 * (idleW === null ? u : (u - 0.95) / 0.05) ** 3
  const topW = highestW / (fixed + (1 - fixed) * share)
  return { fixedW: fixed * topW, workingW: (1 - fixed) * topW }
}

/** None in a quarter; memory time that adds, up to 0.8 at the top, in half; else a ceiling about where the top clock is. */
function memoryWork(u: number, v: number): { readonly share: number; readonly overlap: number } {
  if (u < 0.27) return { share: 0, overlap: 1 }
  if (u < 0.8) return { share: 0.8 * ((u - 0.27) / 0.53) ** 1.3, overlap: 1 }
  const overlap = 1.5 * (25 / 1.5) ** v
  const ceiling = Math.exp(within(-1.05, 0.79, normalAt((u - 0.8) / 0.2, 0, 0.35)))
  const share = ceiling ** -overlap
  return { share: share / (1 + share), overlap }
}
