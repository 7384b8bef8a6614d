import { NEVER, rankOf } from '../../log/columns/chooseColumn.js'
import { describeColumn } from '../../log/table/describeColumn.js'
import { plainText } from '../../log/table/plainText.js'
import { type EnergyCounter, findCounters } from './findCounters.js'
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
  /** Counters that may not be read. */
  readonly denied: readonly string[]
}

/**
 * Finds what can be recorded: energy counters, the temperature that stands for the processor, or for each of several
 * (judged by the rules that also pick a column of a log), and the clocks of all groups of cores.
 *
 * @throws InputError those of `findCounters`
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-hwmon and sysfs-class-thermal (millidegrees Celsius);
 *   Documentation/admin-guide/pm/cpufreq.rst (scaling_cur_freq in kHz)
 */
export function findSensors(tree: SysfsTree): Sensors {
  const { counters, denied } = findCounters(tree)
  return { counters, denied, temperatures: processorTemperatures(tree), clocks: findClocks(tree) }
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

/** A name that can stand in a header: no delimiters, no brackets that would look like a unit's. */
function cellText(text: string): string {
  return plainText(text, 50).replace(/[",;|\t[\](){}<>]/g, ' ')
}
