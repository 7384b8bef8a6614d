import type { Sensors } from '../sensors/findSensors.js'
import type { SampledRow } from '../sensors/sampleRow.js'

/** When a sample was taken, and in which part of the recording. */
export interface RowStamp {
  readonly elapsedS: number
  /** Milliseconds since 1970 UTC. */
  readonly epochMs: number
  /** `before`, `run 3`, `pause`, `after`; `recording` without a command. */
  readonly phase: string
}

/**
 * Header of a recording: elapsed time, date and time, phase, one energy counter each, temperature, clock, then powers, limits and
 * events; every quantity with its unit, so that `parseLog` needs no choice. Several packages are also summed under `package`.
 */
export function formatHeader(sensors: Sensors): string {
  return [
    ...STAMP_NAMES,
    ...energyNames(sensors).map((name) => `${name} energy [uJ]`),
    ...sensors.temperatures.map(({ name }) => `${name} temperature [m°C]`),
    ...(sensors.clocks.length === 0 ? [] : ['processor clock [kHz]']),
    ...sensors.gauges.map(({ header }) => header),
    ...(countsThrottling(sensors) ? ['processor throttle reason'] : []),
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
    ...row.temperaturesMilliC.map(cell),
    ...(sensors.clocks.length === 0 ? [] : [cell(row.clockKhz)]),
    ...row.gauges.map(cell),
    ...(countsThrottling(sensors) ? [row.throttledBy ?? ''] : []),
  ].join(',')
}

/** A row as it was written: its stamp, and the total of each counter where there is one. */
export interface WrittenRow {
  readonly elapsedS: number
  readonly epochMs: number
  readonly totalUj: readonly (number | undefined)[]
}

/** Reads a row that `formatRow` wrote; undefined for any other line. */
export function parseRow(line: string, sensors: Sensors): WrittenRow | undefined {
  const cells = line.split(',')
  if (cells.length !== formatHeader(sensors).split(',').length) return undefined
  const [elapsedS, epochMs] = [Number(cells[0]), Date.parse(cells[1]!)]
  if (!/^\d+\.\d{3}$/.test(cells[0]!) || Number.isNaN(epochMs)) return undefined
  const at = STAMP_NAMES.length + energyNames(sensors).length - sensors.counters.length
  const totalUj = sensors.counters.map((_, i) => (cells[at + i] === '' ? undefined : Number(cells[at + i])))
  return totalUj.some((total) => Number.isNaN(total)) ? undefined : { elapsedS, epochMs, totalUj }
}

const STAMP_NAMES: readonly string[] = ['elapsed_s', 'time', 'phase']

function energyNames(sensors: Sensors): string[] {
  const names = sensors.counters.map(({ name }) => name)
  return packagesOf(sensors).length > 1 ? ['package', ...names] : names
}

function countsThrottling({ gauges }: Sensors): boolean {
  return gauges.some(({ kind }) => kind === 'heat-events' || kind === 'limit-events')
}

function packagesOf({ counters }: Sensors): number[] {
  return counters.flatMap(({ isPackage }, i) => (isPackage ? [i] : []))
}

function cell(value: number | undefined): string {
  return value === undefined ? '' : value.toFixed(0)
}
