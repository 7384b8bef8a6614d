import type { Gauge } from './gauge.js'
import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/**
 * What the machine's batteries give, all together: the power of the whole machine while it runs on them. Batteries of mice and other
 * devices are none of its own.
 *
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-power: type, status, current_now, voltage_now; that `scope` tells a device's
 *   battery from the system's is from memory
 */
export function findBattery(tree: SysfsTree): Gauge[] {
  const paths = tree
    .list(SUPPLY)
    .map((name) => `${SUPPLY}/${name}`)
    .filter((folder) => wordIn(tree, `${folder}/type`) === 'Battery')
    .filter((folder) => wordIn(tree, `${folder}/scope`) !== 'Device')
    .filter((folder) =>
      FLOWS.some((files) => files.every((file) => numberIn(tree, `${folder}/${file}`) !== undefined)),
    )
  return paths.length === 0 ? [] : [{ kind: 'battery', header: 'battery power [uW]', paths }]
}

const SUPPLY = 'class/power_supply'
/** Either tells a power. */
const FLOWS = [['power_now'], ['current_now', 'voltage_now']]
