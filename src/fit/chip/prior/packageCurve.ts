import type { VoltageFloor } from '../../../physics/chip/scoreCurve.js'
import { normalAt, within } from './normalAt.js'

/**
 * A chip told at the reference power, as laptops' packages are: little fixed power, a voltage floor mostly far below, and no top that
 * is known.
 *
 * @param u - seven shares in [0, 1)
 * @param idleW - power between loads in the same log, W; null when none was seen
 */
export function packageCurve(u: ArrayLike<number>, referenceW: number, idleW: number | null): VoltageFloor {
  const fixed = idleW === null ? fixedShare(u[0]!) : fixedShareBesideIdle(u[0]!, idleW / referenceW)
  const leakage = (1 - fixed) * leakageShare(u[1]!)
  const slope = (1 / dynamicElasticity(u[2]!) - 1) / 2
  const quadraticShare = u[3]! < 0.35 ? 0 : (u[3]! - 0.35) / 0.65
  const linear = slope * (1 - quadraticShare)
  const quadratic = (slope * quadraticShare) / 2
  const floorEnd = floorClock(u[4]!)
  const x = Math.min(1, floorEnd)
  const floorVoltage = Math.max(LOWEST_VOLTAGE, 1 + linear * (x - 1) + quadratic * (x * x - 1))
  const { memoryShare, overlap } = memoryWork(u[5]!, u[6]!, fixed)
  // Written out: spreading two objects takes longer than judging the curve does.
  return {
    shape: 'voltage-floor',
    scale: 1,
    referenceW,
    topW: null,
    bend: null,
    fixedW: fixed * referenceW,
    leakageW: leakage * referenceW,
    dynamicW: (1 - fixed - leakage) * referenceW,
    linear,
    quadratic,
    voltageClock: Math.max(1, floorEnd),
    floorVoltage,
    memoryShare,
    overlap,
  }
}

/**
 * Share of the reference power that buys no score. In a package a tenth is usual and a third much (common practice, no
 * source); a whole board, one test in eight, has more: in cap sweeps about 40 of 60 to 130 W.
 *
 * @source T. Desai et al. (2025), HPDC '25, data repository: no gain below about 40 W
 */
function fixedShare(u: number): number {
  return u < 0.88 ? 0.33 * (u / 0.88) ** 2 : 0.2 + 0.5 * ((u - 0.88) / 0.12)
}

/**
 * The same where idle power was seen. What buys no score at work (fabric, memory controller, converters) is what idles, a
 * little less asleep or a little more awake: idle power itself, within a factor of 1.8 two times in three; common practice,
 * no source. One test in twenty keeps the wide range, for logs whose idle is of another kind than the load.
 */
function fixedShareBesideIdle(u: number, idleShare: number): number {
  if (u >= 0.95) return fixedShare((u - 0.95) / 0.05)
  return Math.min(0.7, idleShare * Math.exp(normalAt(u / 0.95, 0, 0.6)))
}

/** Leakage as a share of what is not fixed: 2 to 30 %; common practice, no source. */
function leakageShare(u: number): number {
  return 0.02 + 0.28 * u
}

/**
 * Elasticity of clock to dynamic power at the reference, between that of the last step of published voltage-frequency
 * tables (median 0.43, middle half 0.40 to 0.53) and that from the voltage floor up (0.58, 0.52 to 0.64).
 *
 * @source 47 CPU tables of the Linux 6.1.192 device trees, arch/arm and arch/arm64 boot/dts
 */
function dynamicElasticity(u: number): number {
  return within(0.26, 0.9, normalAt(u, 0.45, 0.1))
}

/** Lowest voltage relative to the reference's: the same tables have 0.64 to 0.86 of the voltage at their top. */
const LOWEST_VOLTAGE = 0.55

/**
 * Clock where the voltage floor ends, relative to the reference's. The same tables have 0.18 to 0.75 of their top clock, and
 * loaded chips run at 60 to 100 % of theirs; one reference in fourteen lies on the floor itself.
 */
function floorClock(u: number): number {
  return u < 0.93 ? 0.17 ** (1 - u / 0.93) : 2.2 ** ((u - 0.93) / 0.07)
}

/**
 * What waits for memory. In packages two workloads in five don't, and where they do the time mostly adds up. Where a large
 * fixed part tells of a whole accelerator board, work and memory overlap, so the rate bends towards a ceiling.
 *
 * @source cap sweeps of T. Desai et al. (2025), HPDC '25: elasticity 1.8 to 2.1 at 60 to 80 W, 0.3 to 0.9 at 100 to 130 W, most of
 * the change within 10 W; shares for packages: common practice, no source
 */
function memoryWork(
  u: number,
  v: number,
  fixed: number,
): { readonly memoryShare: number; readonly overlap: number } {
  const overlapping = Math.min(0.85, 0.1 + 1.6 * fixed)
  if (v < 1 - overlapping) return { memoryShare: u < 0.4 ? 0 : 0.75 * ((u - 0.4) / 0.6) ** 2, overlap: 1 }
  const overlap = 2 * 6 ** ((v - (1 - overlapping)) / overlapping)
  const ceiling = Math.exp(0.03 + u)
  return { memoryShare: ceiling ** -overlap, overlap }
}
