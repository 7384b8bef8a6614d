import type { ChassisTruth } from './chassisTruth.js'
import type { ChipTruth } from './chipTruth.js'
import { LIMITER, type Simulation, simulate } from './simulate.js'

/** What an uninterrupted load from idle does, without noise and for long enough to settle. Seconds from the load's start. */
export interface HoldTruth {
  readonly simulation: Simulation
  /** Mean power until something first gives way. */
  readonly burstW: number
  /** When a set limit began to bite (heat gives way gradually: no drop). */
  readonly dropsS: readonly number[]
  /** When the first drop was half way down; undefined without a drop. */
  readonly firstHalfDownS: number | undefined
  /** Mean power of the stretches between the drops, easing left out. */
  readonly levelsW: readonly number[]
  /** When the ceiling was first reached; undefined if never. */
  readonly ceilingAtS: number | undefined
  readonly sustainedW: number
  /** Last time at which the power was more than 1 % from where it settles. */
  readonly settleS: number
}

/** Long enough for five of the longest time constants that `drawChassis` makes. */
const LONG_S = 2700
/** A limit eases in within five times its longest easing time. */
const EASING_S = 6

/** Truth of a machine's uninterrupted load: where it steps, at which levels, where it settles and when. */
export function holdTruth(chip: ChipTruth, chassis: ChassisTruth): HoldTruth {
  const schedule = { idleBeforeS: 0.4, idleAfterS: 0, plan: { form: 'hold', holdS: LONG_S } } as const
  const simulation = simulate(chip, chassis, schedule)
  const first = Math.round(simulation.loadStartS / simulation.stepS)
  const power = simulation.powerW.subarray(first)
  const limiter = simulation.limiter.subarray(first)
  const perS = 1 / simulation.stepS
  const mean = (fromS: number, toS: number) => {
    const part = power.subarray(
      Math.floor(fromS * perS),
      Math.max(Math.floor(fromS * perS) + 1, Math.floor(toS * perS)),
    )
    return part.reduce((a, b) => a + b, 0) / part.length
  }
  const dropsS = findDrops(limiter, power, simulation.stepS)
  const sustainedW = mean(LONG_S - 60, LONG_S)
  const edges = [0, ...dropsS, LONG_S]
  const levelsW = edges.slice(1).map((endS, i) => {
    const startS = edges[i]!
    const easing = i === 0 ? 0.2 : Math.min(EASING_S, (endS - startS) / 2)
    return mean(startS + easing, endS)
  })
  const ceilingAt = limiter.indexOf(LIMITER.heat)
  const ceilingAtS = ceilingAt < 0 ? undefined : ceilingAt * simulation.stepS
  let last = power.length - 1
  while (last > 0 && Math.abs(power[last]! / sustainedW - 1) <= 0.01) last--
  const middleW = (levelsW[0]! + (levelsW[1] ?? 0)) / 2
  const halfDown = power.findIndex((watts, i) => i > (dropsS[0] ?? 0) * perS && watts < middleW)
  return {
    simulation,
    firstHalfDownS: dropsS.length === 0 || halfDown < 0 ? undefined : halfDown * simulation.stepS,
    burstW: mean(0.2, Math.min(dropsS[0] ?? LONG_S, ceilingAtS ?? LONG_S)),
    dropsS,
    levelsW,
    ceilingAtS,
    sustainedW,
    settleS: (last + 1) * simulation.stepS,
  }
}

/** Set limits that took over for good and lowered the power by more than 2 %. */
function findDrops(limiter: Uint8Array, power: Float64Array, stepS: number): readonly number[] {
  const drops: number[] = []
  const settled = Math.round(EASING_S / stepS)
  let current = limiter[0]!
  for (let i = 1; i < limiter.length; i++) {
    const now = limiter[i]!
    if (now === current) continue
    const after = Math.min(limiter.length - 1, i + settled)
    if (limiter[after] !== now) continue
    current = now
    if (now >= LIMITER.timed && power[after]! < 0.98 * power[Math.max(0, i - 1)]!) drops.push(i * stepS)
  }
  return drops
}
