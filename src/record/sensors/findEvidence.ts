import { cellText } from './cellText.js'
import type { EnergyCounter } from './findCounters.js'
import type { Gauge } from './gauge.js'
import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/**
 * Power limits of the processor packages, each kind as one column: of several packages their sum, as their energy is summed too. Zones
 * that are switched off hold nothing.
 *
 * @source Linux 6.1 Documentation/power/powercap/powercap.rst: constraint_N_name, constraint_N_power_limit_uw, enabled
 */
export function findLimits(tree: SysfsTree, counters: readonly EnergyCounter[]): Gauge[] {
  const packages = counters.filter(({ isPackage }) => isPackage).map(({ path }) => zoneOf(path))
  const inForce = packages.filter((zone) => numberIn(tree, `${zone}/enabled`) !== 0)
  const [first] = inForce
  if (first === undefined || inForce.length < packages.length) return []
  return constraintsOf(tree, first).flatMap(({ name }) => {
    const paths = inForce.map((zone) => constraintsOf(tree, zone).find((other) => other.name === name)?.path)
    const header = `package ${name} power limit [uW]`
    return paths.includes(undefined)
      ? []
      : [{ kind: 'limit' as const, header, paths: paths.map((path) => path!) }]
  })
}

/** Limits with their time windows, in words, as they were when the recording began: `package long term 28 W over 28 s`. */
export function sayLimits(tree: SysfsTree, limits: readonly Gauge[]): string[] {
  return limits
    .filter(({ kind, paths }) => kind === 'limit' && paths[0]!.endsWith(LIMIT))
    .map(({ header, paths }) => {
      const powerUw = paths.reduce((sum, path) => sum + (numberIn(tree, path) ?? 0), 0)
      const windowUs = numberIn(tree, paths[0]!.replace(LIMIT, '_time_window_us'))
      const window = windowUs === undefined ? '' : ` over ${Number((windowUs / 1e6).toPrecision(4))} s`
      return `${header.replace(' power limit [uW]', '')} ${Number((powerUw / 1e6).toPrecision(4))} W${window}`
    })
}

const LIMIT = '_power_limit_uw'

interface Constraint {
  readonly name: string
  readonly path: string
}

function constraintsOf(tree: SysfsTree, zone: string): Constraint[] {
  return tree
    .list(zone)
    .filter((file) => /^constraint_\d+_power_limit_uw$/.test(file))
    .map((file) => ({
      name: cellText((wordIn(tree, `${zone}/${file.replace(LIMIT, '_name')}`) ?? file).replaceAll('_', ' ')),
      path: `${zone}/${file}`,
    }))
    .filter(({ path }) => (numberIn(tree, path) ?? 0) > 0)
}

function zoneOf(path: string): string {
  return path.replace(/\/[^/]+$/, '')
}

/**
 * How often the processor was throttled by heat, and, where the kernel was told to count that, by its power limit: of each package
 * once, of the cores their sum.
 *
 * @source Linux Documentation/admin-guide/thermal, the page on thermal throttle events: core_throttle_count, package_throttle_count;
 *   core_power_limit_count and package_power_limit_count are named from memory
 */
export function findThrottling(tree: SysfsTree): Gauge[] {
  const cpus = tree.list(CPU).filter((entry) => /^cpu\d+$/.test(entry))
  const onePerPackage = cpus.filter((cpu, i) => {
    const id = packageOf(tree, cpu)
    return cpus.findIndex((other) => packageOf(tree, other) === id) === i
  })
  const counts = (some: readonly string[], file: string) =>
    some
      .map((cpu) => `${CPU}/${cpu}/thermal_throttle/${file}`)
      .filter((path) => numberIn(tree, path) !== undefined)
  const heat = [
    ...counts(onePerPackage, 'package_throttle_count'),
    ...counts(cpus.slice(0, MOST_CORES), 'core_throttle_count'),
  ]
  const limit = counts(onePerPackage, 'package_power_limit_count')
  return [
    ...(heat.length === 0
      ? []
      : [{ kind: 'heat-events' as const, header: 'processor heat events', paths: heat }]),
    ...(limit.length === 0
      ? []
      : [{ kind: 'limit-events' as const, header: 'processor power events', paths: limit }]),
  ]
}

const CPU = 'devices/system/cpu'
/** Reading a file takes about 10 us; more cores than this would make a sample last milliseconds. */
const MOST_CORES = 64

function packageOf(tree: SysfsTree, cpu: string): number | undefined {
  return numberIn(tree, `${CPU}/${cpu}/topology/physical_package_id`)
}

/**
 * The clock up to which the system lets the processor go: the mean over its groups of cores.
 *
 * @source Linux 6.1 Documentation/admin-guide/pm/cpufreq.rst: scaling_max_freq, cpuinfo_max_freq in kHz
 */
export function findClockLimit(tree: SysfsTree, clocks: readonly string[]): Gauge[] {
  const paths = clocks
    .map((path) => path.replace('scaling_cur_freq', 'scaling_max_freq'))
    .filter((path) => numberIn(tree, path) !== undefined)
  return paths.length === 0 ? [] : [{ kind: 'clock-limit', header: 'processor clock limit [kHz]', paths }]
}

/** Share of its highest clock that the system lets the processor go up to; null where the system doesn't say. */
export function clockShare(tree: SysfsTree, clocks: readonly string[]): number | null {
  const mean = (name: string) => {
    const values = clocks.map((path) => numberIn(tree, path.replace('scaling_cur_freq', name)))
    return values.includes(undefined) ? undefined : values.reduce<number>((sum, value) => sum + value!, 0)
  }
  const [limit, highest] = [mean('scaling_max_freq'), mean('cpuinfo_max_freq')]
  return limit === undefined || highest === undefined || highest === 0 ? null : limit / highest
}
