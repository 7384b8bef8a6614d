import type { Sensors } from './findSensors.js'
import { numberIn, type SysfsTree } from './sysfsTree.js'

/** Last reading and running total of each counter. */
export interface CounterState {
  readonly lastUj: readonly (number | undefined)[]
  readonly totalUj: readonly number[]
}

/** One sample of all sensors; undefined where one could not be read. */
export interface SampledRow {
  /** Microjoules since the first sample, for each counter, followed through wraps. */
  readonly energiesUj: readonly (number | undefined)[]
  readonly temperatureMilliC: number | undefined
  /** Mean over the groups of cores, kHz. */
  readonly clockKhz: number | undefined
}

/**
 * Reads all sensors once. A counter that fell has wrapped around at the range that the system gives; without a range,
 * or without a reading, its energy since the last sample is unknown, and its total goes on from the next.
 *
 * @param state - what the last call returned; undefined for the first sample
 */
export function sampleRow(
  tree: SysfsTree,
  sensors: Sensors,
  state: CounterState | undefined,
): { readonly row: SampledRow; readonly state: CounterState } {
  const readings = sensors.counters.map(({ path }) => numberIn(tree, path))
  const totals = readings.map((reading, i) => {
    const total = state?.totalUj[i] ?? 0
    return total + (gainUj(reading, state?.lastUj[i], sensors.counters[i]!.rangeUj) ?? 0)
  })
  const known = readings.map((reading, i) => (reading === undefined ? undefined : totals[i]!))
  const row = {
    energiesUj: known,
    temperatureMilliC: sensors.temperature === null ? undefined : numberIn(tree, sensors.temperature.path),
    clockKhz: meanClock(tree, sensors.clocks),
  }
  return {
    row,
    state: { totalUj: totals, lastUj: readings.map((reading, i) => reading ?? state?.lastUj[i]) },
  }
}

function gainUj(
  now: number | undefined,
  before: number | undefined,
  rangeUj: number | null,
): number | undefined {
  if (now === undefined || before === undefined) return undefined
  if (now >= before) return now - before
  return rangeUj === null ? undefined : now + rangeUj - before
}

function meanClock(tree: SysfsTree, paths: readonly string[]): number | undefined {
  const clocks = paths.map((path) => numberIn(tree, path)).filter((clock) => clock !== undefined)
  return clocks.length === 0 ? undefined : clocks.reduce((sum, clock) => sum + clock, 0) / clocks.length
}
