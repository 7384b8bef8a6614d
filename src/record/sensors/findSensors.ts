import { NEVER, rankOf } from '../../log/columns/chooseColumn.js'
import { describeColumn } from '../../log/table/describeColumn.js'
import { cellText } from './cellText.js'
import { findBattery } from './findBattery.js'
import { type EnergyCounter, findCounters } from './findCounters.js'
import { clockShare, findClockLimit, findLimits, findThrottling, sayLimits } from './findEvidence.js'
import { findHwmon } from './findHwmon.js'
import { type Gauge, readGauge } from './gauge.js'
import { noPowerError } from './noPowerError.js'
import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/** A temperature in millidegrees, by the name that the system gives it. */
export interface TemperatureSensor {
  readonly name: string
  readonly path: string
}

/** Everything that a recording reads. */
export interface Sensors {
  readonly counters: readonly EnergyCounter[]
  /** The processor's, one for each package; none when they can't be told from those of other parts. */
  readonly temperatures: readonly TemperatureSensor[]
  /** Files with the present clock in kHz, one for each group of cores. */
  readonly clocks: readonly string[]
  /** Further columns: powers, limits, events. */
  readonly gauges: readonly Gauge[]
  /** Counters that may not be read. */
  readonly denied: readonly string[]
  /** Power limits with their windows, in words, as they are now. */
  readonly limits: readonly string[]
  /** Share of its highest clock that the system lets the processor go up to; null where it doesn't say. */
  readonly clockShare: number | null
}

/**
 * Finds what can be recorded: energy counters and powers, the temperature that stands for the processor, or for each of several
 * (judged by the rules that also pick a column of a log), the clocks of all groups of cores, and what tells what holds them: limits
 * and counts of throttling.
 *
 * @throws InputError `counter-missing`, `counter-denied` when nothing tells the machine's power: a battery does only while it is used
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-hwmon and sysfs-class-thermal (millidegrees Celsius);
 *   Documentation/admin-guide/pm/cpufreq.rst (scaling_cur_freq in kHz)
 */
export function findSensors(tree: SysfsTree): Sensors {
  const powercap = findCounters(tree)
  const hwmon = findHwmon(tree)
  const [counters, denied] = [
    [...powercap.counters, ...hwmon.counters],
    [...powercap.denied, ...hwmon.denied],
  ]
  const battery = findBattery(tree)
  const isUsed = battery.some((gauge) => (readGauge(tree, gauge) ?? 0) > 0)
  if (counters.length === 0 && !isUsed && !hwmon.gauges.some(({ kind }) => kind === 'power'))
    throw noPowerError(tree, denied, battery.length > 0)
  const clocks = findClocks(tree)
  const limits = findLimits(tree, powercap.counters)
  return {
    counters,
    denied,
    temperatures: processorTemperatures(tree),
    clocks,
    gauges: [
      ...hwmon.gauges,
      ...battery,
      ...limits,
      ...findClockLimit(tree, clocks),
      ...findThrottling(tree),
    ],
    limits: sayLimits(tree, limits),
    clockShare: clockShare(tree, clocks),
  }
}

const HWMON = 'class/hwmon'
const THERMAL = 'class/thermal'
const CPUFREQ = 'devices/system/cpu/cpufreq'

function processorTemperatures(tree: SysfsTree): TemperatureSensor[] {
  const ranked = [...hwmonSensors(tree), ...thermalZones(tree)]
    .filter(({ path }) => numberIn(tree, path) !== undefined)
    .map((sensor) => ({ sensor, rank: rankOf('temperature', describeColumn(`${sensor.name} [m°C]`, 0)) }))
    .filter(({ rank }) => rank < NEVER)
  const best = Math.min(...ranked.map(({ rank }) => rank))
  const first = ranked.find(({ rank }) => rank === best)?.sensor
  if (first === undefined) return []
  const alike = ranked.filter(({ sensor, rank }) => rank === best && bare(sensor) === bare(first))
  return numbered(alike.map(({ sensor }) => sensor))
}

/** `Package id 0` and `Package id 1` are sensors of one kind. */
function bare({ name }: TemperatureSensor): string {
  return name.replace(/\d+/g, '#')
}

/** Sensors of one name get numbers, so that the reader of the log sees a family of them. */
function numbered(sensors: readonly TemperatureSensor[]): TemperatureSensor[] {
  const distinct = new Set(sensors.map(({ name }) => name)).size === sensors.length
  return sensors.map((sensor, i) => (distinct ? sensor : { ...sensor, name: `${sensor.name} ${i}` }))
}

function hwmonSensors(tree: SysfsTree): TemperatureSensor[] {
  return tree.list(HWMON).flatMap((chip) => {
    const folder = `${HWMON}/${chip}`
    const chipName = wordIn(tree, `${folder}/name`) ?? chip
    return tree
      .list(folder)
      .filter((file) => /^temp\d+_input$/.test(file))
      .map((file) => {
        const label = wordIn(tree, `${folder}/${file.replace('_input', '_label')}`) ?? ''
        return { name: cellText(`${chipName} ${label}`), path: `${folder}/${file}` }
      })
  })
}

function thermalZones(tree: SysfsTree): TemperatureSensor[] {
  return tree
    .list(THERMAL)
    .filter((zone) => zone.startsWith('thermal_zone'))
    .map((zone) => ({
      name: cellText(wordIn(tree, `${THERMAL}/${zone}/type`) ?? zone),
      path: `${THERMAL}/${zone}/temp`,
    }))
}

function findClocks(tree: SysfsTree): string[] {
  return tree
    .list(CPUFREQ)
    .filter((policy) => /^policy\d+$/.test(policy))
    .map((policy) => `${CPUFREQ}/${policy}/scaling_cur_freq`)
    .filter((path) => numberIn(tree, path) !== undefined)
}
