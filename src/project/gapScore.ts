import { leakageHeat } from '../curves/leakageHeat.js'
import type { GapDraw } from './drawGapSides.js'
import { runTemperature } from './runTemperature.js'
import { steadyRun } from './steadyRun.js'
import { settledPower, withSustained } from './withSustained.js'

export type GapPartName =
  | 'chip at equal power'
  | 'sustained power'
  | 'burst and recovery'
  | 'pauses between runs'
  | 'temperature'

/**
 * Steady score of a machine that takes each of its traits from one of two machines.
 *
 * @param fromOne - whether a trait comes from the pair's first machine
 * @param warm - whether the temperature of the silicon counts
 */
export function gapScore(
  { one, two }: GapDraw,
  fromOne: (trait: GapPartName) => boolean,
  warm: boolean,
): number {
  const from = (trait: GapPartName) => (fromOne(trait) ? one : two)
  const chipSide = from('chip at equal power')
  const habits = from('burst and recovery')
  const sustained = from('sustained power')
  const held =
    habits === sustained ? habits.machine : withSustained(habits.machine, settledPower(sustained.machine))
  const { demandW } = chipSide.chip
  const machine = demandW === null ? held : { ...held, peakW: Math.min(held.peakW, demandW) }
  const { loop } = from('pauses between runs')
  const run = steadyRun(machine, chipSide, loop)
  if (!warm) return run.score
  const at = { ...run, first: false, settledW: run.meanW, gapS: loop.gapS, idleW: machine.idleW }
  const temperatureC = runTemperature(at, from('temperature').chassis, 0)
  const logLoss = chipSide.heatPerK * leakageHeat(temperatureC, chipSide.chip.referenceC ?? temperatureC)
  return run.score * Math.exp(chipSide.chip.workload.better === 'lower' ? logLoss : -logLoss)
}
