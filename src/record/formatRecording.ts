import type { Sensors } from './findSensors.js'
import type { SampledRow } from './sampleRow.js'

/** The part of a recording that a sample belongs to. */
export type Phase = 'before' | 'command' | 'after'

/** When and in which phase a sample was taken. */
export interface RowStamp {
  readonly elapsedS: number
  /** Milliseconds since 1970 UTC. */
  readonly epochMs: number
  readonly phase: Phase
}

/**
 * Header of a recording: elapsed time, date and time, phase, one energy counter each, temperature, clock; every quantity
 * with its unit, so that `parseLog` needs no choice. Several packages are also summed under `package`.
 */
export function formatHeader(sensors: Sensors): string {
  const names = sensors.counters.map(({ name }) => `${name} energy [uJ]`)
  return [
    'elapsed_s',
    'time',
    'phase',
    ...(packagesOf(sensors).length > 1 ? ['package energy [uJ]'] : []),
    ...names,
    ...(sensors.temperature === null ? [] : [`${sensors.temperature.name} temperature [m°C]`]),
    ...(sensors.clocks.length === 0 ? [] : ['processor clock [kHz]']),
  ].join(',')
}

/** One row below that header; what could not be read is left empty. */
export function formatRow(stamp: RowStamp, row: SampledRow, sensors: Sensors): string {
  const packages = packagesOf(sensors).map((i) => row.energiesUj[i])
  const sum = packages.includes(undefined)
    ? undefined
    : packages.reduce<number>((all, energy) => all + energy!, 0)
  return [
    stamp.elapsedS.toFixed(3),
    new Date(stamp.epochMs).toISOString(),
    stamp.phase,
    ...(packages.length > 1 ? [cell(sum)] : []),
    ...row.energiesUj.map(cell),
    ...(sensors.temperature === null ? [] : [cell(row.temperatureMilliC)]),
    ...(sensors.clocks.length === 0 ? [] : [cell(row.clockKhz)]),
  ].join(',')
}

function packagesOf({ counters }: Sensors): number[] {
  return counters.flatMap(({ name }, i) => (/^(package|processor \S+)$/.test(name) ? [i] : []))
}

function cell(value: number | undefined): string {
  return value === undefined ? '' : value.toFixed(0)
}
