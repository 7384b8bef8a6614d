import { leakageHeat } from '../../physics/chip/leakageHeat.js'
import { runTemperature } from '../projection/runTemperature.js'
import { steadyRun } from '../projection/steadyRun.js'
import { settledPower, withSustained } from '../projection/withSustained.js'
import type { GapDraw } from './drawGapSides.js'

export type GapPartName =
  | 'chip at equal power'
  | 'sustained power'
  | 'burst and recovery'
  | 'pauses between runs'
  | 'temperature'

/** Which of the pair's machines a trait comes from. */
export type FromOne = (trait: GapPartName) => boolean

/** Steady run of a machine that takes each of its traits from one of two machines; temperature is not looked at. */
export interface GapRun {
  readonly score: number
  readonly meanW: number
  readonly durationS: number
  readonly idleW: number
}

/** Runs the loop of a machine that takes chip, limits, habits and pauses from one or the other of a pair. */
export function gapRun({ one, two }: GapDraw, fromOne: FromOne): GapRun {
  const from = (trait: GapPartName) => (fromOne(trait) ? one : two)
  const chipSide = from('chip at equal power')
  const habits = from('burst and recovery')
  const sustained = from('sustained power')
  const held =
    habits === sustained ? habits.machine : withSustained(habits.machine, settledPower(sustained.machine))
  const { demandW } = chipSide.chip
  const machine = demandW === null ? held : { ...held, peakW: Math.min(held.peakW, demandW) }
  return { ...steadyRun(machine, chipSide, from('pauses between runs').loop), idleW: machine.idleW }
}

/** Steady score of such a machine where the temperature of the silicon counts as well. */
export function warmScore({ one, two }: GapDraw, fromOne: FromOne, run: GapRun): number {
  const from = (trait: GapPartName) => (fromOne(trait) ? one : two)
  const { chip, heatPerK } = from('chip at equal power')
  const at = { ...run, first: false, settledW: run.meanW, gapS: from('pauses between runs').loop.gapS }
  const temperatureC = runTemperature(at, from('temperature').chassis, 0)
  const logLoss = heatPerK * leakageHeat(temperatureC, chip.referenceC ?? temperatureC)
  return run.score * Math.exp(chip.workload.better === 'lower' ? logLoss : -logLoss)
}
