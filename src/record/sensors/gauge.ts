import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/**
 * A column that is read anew with each sample, beside the energy counters. Several files are one value: the sum of limits or counts of
 * several packages, the mean of clocks.
 */
export interface Gauge {
  /** Column header with its unit. */
  readonly header: string
  /** `power` and `battery` may stand for the machine's power; the others are evidence. */
  readonly kind:
    | 'power'
    | 'battery'
    | 'limit'
    | 'temperature'
    | 'clock-limit'
    | 'heat-events'
    | 'limit-events'
  /** Files with whole numbers; of a battery its folder. */
  readonly paths: readonly string[]
}

/** Value of a gauge now, in its header's unit; undefined where one of its files does not answer. */
export function readGauge(tree: SysfsTree, { kind, paths }: Gauge): number | undefined {
  const values = paths.map((path) => (kind === 'battery' ? batteryUw(tree, path) : numberIn(tree, path)))
  if (values.length === 0 || values.includes(undefined)) return undefined
  const sum = values.reduce<number>((total, value) => total + value!, 0)
  return kind === 'clock-limit' ? sum / values.length : sum
}

/**
 * Power that a battery gives, microwatts; negative while it is charged. Drivers differ in the sign of the current and of the power,
 * so that only their size is taken; `status` tells the way. Undefined where it says neither and something flows.
 *
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-power: status, current_now (microampere), voltage_now (microvolt);
 *   power_now (microwatt): Documentation/power/power_supply_class.rst
 */
function batteryUw(tree: SysfsTree, folder: string): number | undefined {
  const powerUw = numberIn(tree, `${folder}/power_now`) ?? product(tree, folder)
  if (powerUw === undefined) return undefined
  const size = Math.abs(powerUw)
  switch (wordIn(tree, `${folder}/status`)) {
    case 'Discharging':
      return size
    case 'Charging':
      return -size
    default:
      return size === 0 ? 0 : undefined
  }
}

/** Microampere times microvolt, in microwatts. */
function product(tree: SysfsTree, folder: string): number | undefined {
  const [currentUa, voltageUv] = [
    numberIn(tree, `${folder}/current_now`),
    numberIn(tree, `${folder}/voltage_now`),
  ]
  return currentUa === undefined || voltageUv === undefined ? undefined : (currentUa * voltageUv) / 1e6
}
