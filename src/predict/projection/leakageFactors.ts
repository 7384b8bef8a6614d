import type { Chip } from '../../physics/chip/chip.js'
import { leakageHeat } from '../../physics/chip/leakageHeat.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { LoopEnds } from '../../physics/loop/loopEnds.js'
import type { LoopRun } from '../../physics/loop/simulateRun.js'
import { runTemperature } from './runTemperature.js'

/** What leakage at a run's temperature leaves of its rate: of the first run, and of settled ones. */
export interface RateFactors {
  readonly first: number
  readonly settled: number
}

/**
 * What leakage leaves of the rate in the first and in the settled runs of a simulated loop, relative to the chip's reference
 * temperature. 1 for a chip whose temperature is not known.
 *
 * @param loop - pause between runs, s
 * @param warmth - the target (null: given in numbers), where in the spread of usual machines it lies, and the draw's fall of ln
 * rate per kelvin
 */
export function leakageFactors(
  chip: Chip,
  loop: { readonly gapS: number; readonly ambientC?: number | undefined },
  { count, first, last }: LoopEnds,
  warmth: {
    readonly chassis: Chassis | null
    readonly score: number
    readonly heatPerK: number
    /** Power in pauses, W. */
    readonly idleW: number
  },
): RateFactors {
  const { referenceC } = chip
  if (referenceC === undefined || warmth.heatPerK === 0) return { first: 1, settled: 1 }
  const meanW = (run: LoopRun) => run.energyJ / run.durationS
  const settledW = meanW(last.at(-1)!)
  const factorOf = (run: LoopRun, atRest: boolean) => {
    const at = {
      meanW: meanW(run),
      durationS: run.durationS,
      first: atRest,
      settledW,
      gapS: loop.gapS,
      idleW: warmth.idleW,
    }
    const temperatureC = runTemperature(at, warmth.chassis, warmth.score, loop.ambientC)
    return Math.exp(-warmth.heatPerK * leakageHeat(temperatureC, referenceC))
  }
  return { first: factorOf(first, true), settled: factorOf(last.at(-1)!, count === 1) }
}
