import type { EnergyCounter } from './findCounters.js'
import type { Sensors } from './findSensors.js'
import { type Gauge, readGauge } from './gauge.js'
import { numberIn, type SysfsTree } from './sysfsTree.js'

/** What is remembered from one sample to the next. */
export interface CounterState {
  readonly lastUj: readonly (number | undefined)[]
  /** When it last answered, s. */
  readonly readAtS: readonly number[]
  readonly totalUj: readonly number[]
  /** What the gauges read. */
  readonly gauges: readonly (number | undefined)[]
}

/** One sample of all sensors; undefined where one could not be read. */
export interface SampledRow {
  /** Microjoules since the first sample, for each counter, followed through wraps. */
  readonly energiesUj: readonly (number | undefined)[]
  readonly temperaturesMilliC: readonly (number | undefined)[]
  /** Mean over the groups of cores, kHz. */
  readonly clockKhz: number | undefined
  /** Each in its header's unit. */
  readonly gauges: readonly (number | undefined)[]
  /** What throttled the processor since the last sample, as far as the system counts it; undefined where that is not known. */
  readonly throttledBy: string | undefined
  /** Energy of the packages since the last sample, microjoules; undefined where it is not known. */
  readonly packagesGainUj: number | undefined
}

/** A sample's place: its moment, and whether the counters may have been reset since the last one. */
export interface SampleMoment {
  readonly atS: number
  readonly broken: boolean
}

/**
 * Reads all sensors once. A counter that fell has wrapped around at the range that the system gives.
 *
 * Where the energy since the last sample can't be known (the machine slept, a counter fell that has no range, or so
 * long passed that it may have wrapped more than once) the total steps back by one microjoule: a reader takes a fall that no wrap
 * explains for a reset, and sets that interval aside. All packages step back together, so that their sum does too.
 *
 * @param state - what the last call returned; undefined for the first sample
 */
export function sampleRow(
  tree: SysfsTree,
  sensors: Sensors,
  state: CounterState | undefined,
  moment: SampleMoment,
): { readonly row: SampledRow; readonly state: CounterState } {
  const { counters } = sensors
  const readings = counters.map(({ path }) => numberIn(tree, path))
  const gains = readings.map((reading, i) => gainUj(reading, i, { counters, state, moment }))
  const packagesKnown = counters.every(({ isPackage }, i) => !isPackage || gains[i] !== 'unknown')
  const totals = gains.map((gain, i) => {
    const total = state?.totalUj[i] ?? 0
    if (gain === undefined) return total
    return gain === 'unknown' || (counters[i]!.isPackage && !packagesKnown) ? total - 1 : total + gain
  })
  const gauges = sensors.gauges.map((gauge) => readGauge(tree, gauge))
  const row = {
    gauges,
    throttledBy: moment.broken ? undefined : throttledBy(sensors.gauges, gauges, state?.gauges),
    energiesUj: readings.map((reading, i) => (reading === undefined ? undefined : totals[i]!)),
    temperaturesMilliC: sensors.temperatures.map(({ path }) => numberIn(tree, path)),
    clockKhz: meanOf(sensors.clocks.map((path) => numberIn(tree, path))),
    packagesGainUj: state === undefined || !packagesKnown ? undefined : gainOf(counters, gains),
  }
  const next = {
    gauges,
    totalUj: totals,
    lastUj: readings.map((reading, i) => reading ?? state?.lastUj[i]),
    readAtS: readings.map((reading, i) => (reading === undefined ? (state?.readAtS[i] ?? 0) : moment.atS)),
  }
  return { row, state: next }
}

/** Counters as a cut recording left them: their totals are known, their readings are of another time. */
export function resumedCounters(totalUj: readonly number[]): CounterState {
  return { totalUj, lastUj: totalUj.map(() => undefined), readAtS: totalUj.map(() => 0), gauges: [] }
}

/** Counts of events that rose; one that fell was reset, and tells nothing. */
function throttledBy(
  gauges: readonly Gauge[],
  now: readonly (number | undefined)[],
  before: readonly (number | undefined)[] = [],
): string | undefined {
  const rises = gauges.flatMap(({ kind }, i) => {
    const word = EVENTS[kind]
    return word === undefined ? [] : [{ word, rise: (now[i] ?? Number.NaN) - (before[i] ?? Number.NaN) }]
  })
  if (rises.every(({ rise }) => !(rise >= 0))) return undefined
  const words = rises.filter(({ rise }) => rise > 0).map(({ word }) => word)
  return words.length === 0 ? 'none' : words.join(' + ')
}

const EVENTS: { readonly [kind in Gauge['kind']]?: string } = {
  'heat-events': 'heat',
  'limit-events': 'power limit',
}

// No processor package takes more; in the time in which this much would wrap a counter, it is not known how often it did.
const MOST_POWER_W = 1000

interface Reading {
  readonly counters: readonly EnergyCounter[]
  readonly state: CounterState | undefined
  readonly moment: SampleMoment
}

/** Microjoules since the last reading; undefined when the counter does not answer. */
function gainUj(now: number | undefined, i: number, { counters, state, moment }: Reading) {
  if (now === undefined) return undefined
  if (state === undefined) return 0
  const before = state.lastUj[i]
  if (before === undefined || moment.broken) return 'unknown'
  const { rangeUj } = counters[i]!
  if (rangeUj === null) return now >= before ? now - before : 'unknown'
  if (moment.atS - state.readAtS[i]! > rangeUj / (MOST_POWER_W * 1e6)) return 'unknown'
  return now >= before ? now - before : now + rangeUj - before
}

/** Energy of all packages; of the first counter where there is no package. */
function gainOf(counters: readonly EnergyCounter[], gains: readonly (number | 'unknown' | undefined)[]) {
  const packages = gains.filter((_, i) => counters[i]!.isPackage)
  const counted = packages.length > 0 ? packages : gains.slice(0, 1)
  const known = counted.filter((gain) => typeof gain === 'number')
  return known.length < counted.length ? undefined : known.reduce((sum, gain) => sum + gain, 0)
}

function meanOf(values: readonly (number | undefined)[]): number | undefined {
  const known = values.filter((value) => value !== undefined)
  return known.length === 0 ? undefined : known.reduce((sum, value) => sum + value, 0) / known.length
}
