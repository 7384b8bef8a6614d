import { asTested } from '../../machine/asTested.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import { chipAlong } from '../../physics/chip/chipAt.js'
import type { Projection } from '../projection/projection.js'
import { projectScore } from '../projection/projectScore.js'
import { type RunsOnCurve, runsOnCurve } from './runsOnCurve.js'

/** The score curve of a chip at evenly spaced powers, with the runs that it was fitted to. */
export interface MachineCurve extends RunsOnCurve {
  readonly points: readonly {
    readonly powerW: number
    readonly score: Estimate
    readonly perWatt: Estimate
  }[]
  /** Least and greatest mean power of a run, W. */
  readonly runRangeW: readonly [number, number]
  readonly sustainedW: Estimate
}

const CURVE_POINTS = 40
const SWEEP_POINTS = 9
/** A curve reaches this far beyond what was measured: to show how the interval opens, not to invite reading it off. */
const REACH = 1.2

/** The curve of a tested machine over a range of powers. */
export function machineCurve(machine: TestedMachine, rangeW: readonly [number, number]): MachineCurve {
  const { chip, runs } = machine
  const powers = runs.map(({ meanW }) => meanW)
  const runRangeW = [Math.min(...powers), Math.max(...powers)] as const
  const points = chipAlong(chip, evenPowers(rangeW, CURVE_POINTS, runRangeW)).flatMap((point) =>
    point ? [{ powerW: point.powerW, score: point.score, perWatt: point.perWatt }] : [],
  )
  return { points, ...runsOnCurve(machine), runRangeW, sustainedW: asTested(machine).sustainedW }
}

/** Powers worth drawing: what was measured and sustained, and a little beyond, W. */
export function drawnRange(machines: readonly TestedMachine[]): readonly [number, number] {
  const lows = machines.map(({ chip, chassis }) => Math.min(chip.measuredRangeW[0], chassis.sustainedW.value))
  const highs = machines.map(({ chip, chassis }) =>
    Math.max(chip.measuredRangeW[1], chassis.sustainedW.value),
  )
  return [Math.min(...lows) / REACH, Math.max(...highs) * REACH]
}

/** The chip of a machine in chassis that sustain other powers, its own and the measured ones among them. */
export function machineSweep(machine: TestedMachine): Projection['sweep'] {
  const { chip, chassis, loop } = machine
  const sustainedW = chassis.sustainedW.value
  const sweepW = evenPowers(drawnRange([machine]), SWEEP_POINTS, [...chip.measuredRangeW, sustainedW])
  return projectScore({
    chip,
    target: { sustainedW },
    loop,
    testedLoop: loop,
    tested: chassis,
    asTested: machine.asTested,
    sweepW,
  }).sweep
}

/** Evenly spaced powers with some more among them, rising, none twice. */
export function evenPowers(
  [low, high]: readonly [number, number],
  count: number,
  more: readonly number[],
): readonly number[] {
  const powers = Array.from({ length: count }, (_, index) => low + ((high - low) * index) / (count - 1))
  const inside = more.filter((power) => power > low && power < high)
  return [...new Set([...powers, ...inside])].sort((a, b) => a - b)
}
