import { USUAL_CEILING_C, USUAL_LOAD_C, USUAL_ROOM_C, USUAL_WARMING } from '../../physics/chip/leakageHeat.js'
import type { Chassis } from '../../physics/loop/chassis.js'

/** What is known of a run before its temperature is. */
export interface WarmRun {
  readonly meanW: number
  readonly durationS: number
  /** Whether the machine began it at rest; if not, it counts as settled. */
  readonly first: boolean
  /** Mean power of the loop's settled runs, W. */
  readonly settledW: number
  /** Pause between runs, s, and power in it, W. */
  readonly gapS: number
  readonly idleW: number
}

/**
 * Mean temperature of the silicon during a run, degrees C: from the target's thermal network where it is known, else what a
 * loaded machine usually has, give or take.
 *
 * A first run begins at room temperature and warms by each stage's own time constant; a settled run sees the mean power of
 * run and pause. Nothing gets hotter than its ceiling.
 *
 * @param chassis - the target, or null when it is given in numbers
 * @param score - standard normal: where in the spread of usual machines this one lies
 * @param ambientC - of the room to project into; left out: that of the chassis' own test
 * @source step response of a Foster network averaged over a run: 1 - tau / D (1 - exp(-D / tau)) per stage
 */
export function runTemperature(
  run: WarmRun,
  chassis: Chassis | null,
  score: number,
  ambientC?: number,
): number {
  const thermal = chassis?.thermal
  if (!thermal) return usualTemperature(run, usualSettled(chassis, score))
  const restC = (thermal.zeroPowerC ?? thermal.ambientC) + (ambientC ?? thermal.ambientC) - thermal.ambientC
  const riseK = thermal.stages.reduce(
    (sum, { rKPerW, tauS }) =>
      sum + rKPerW * (run.first ? run.meanW * warmed(run.durationS, tauS) : cycleMean(run)),
    0,
  )
  return Math.min(thermal.ceilingC ?? USUAL_CEILING_C, restC + riseK)
}

/** Settled temperatures of machines scatter this much around the usual; common practice, no source. */
const USUAL_SPREAD_K = 10
/** A machine that heat holds sits near its ceiling. */
const HEAT_HELD = { meanC: 93, spreadK: 4 }

function usualSettled(chassis: Chassis | null, score: number): number {
  const wish = chassis?.heatBudget
    ? HEAT_HELD.meanC + HEAT_HELD.spreadK * score
    : USUAL_LOAD_C + USUAL_SPREAD_K * score
  return Math.min(USUAL_CEILING_C, wish)
}

function usualTemperature(run: WarmRun, settledC: number): number {
  if (!run.first) return settledC
  const share = USUAL_WARMING.reduce((sum, stage) => sum + stage.share * warmed(run.durationS, stage.tauS), 0)
  return Math.min(
    USUAL_CEILING_C,
    USUAL_ROOM_C + (settledC - USUAL_ROOM_C) * (run.meanW / run.settledW) * share,
  )
}

/** Mean over a duration of 1 - exp(-t / tau). */
function warmed(durationS: number, tauS: number): number {
  return 1 + (tauS / durationS) * Math.expm1(-durationS / tauS)
}

function cycleMean({ meanW, durationS, gapS, idleW }: WarmRun): number {
  return (meanW * durationS + idleW * gapS) / (durationS + gapS)
}
