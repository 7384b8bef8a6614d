import { cellText } from './cellText.js'
import type { EnergyCounter } from './findCounters.js'
import type { Gauge } from './gauge.js'
import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/** What the hardware monitors of a machine tell of power and energy. */
export interface HwmonPower {
  readonly counters: readonly EnergyCounter[]
  readonly denied: readonly string[]
  readonly gauges: readonly Gauge[]
}

/**
 * Finds what hardware monitors count and measure: energy, power, the limit that hardware holds it to, and the temperatures of graphics
 * cards. Where a power is given as a mean and as an instant, the mean is taken.
 *
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-hwmon: energyY_input in microjoules, powerY_average, powerY_input and powerY_cap
 *   in microwatts, tempY_input in millidegrees Celsius, the labels of the last three. A monitor that lies in a graphics device has `drm`
 *   beside it: Documentation/gpu/drm-uapi.rst
 */
export function findHwmon(tree: SysfsTree): HwmonPower {
  const monitors = tree.list(HWMON).map((chip) => monitorOf(tree, `${HWMON}/${chip}`, chip))
  const energies = monitors.flatMap((monitor) => channels(tree, monitor, ENERGY))
  const denied = energies.filter(({ path }) => isDenied(tree, path)).map(({ path }) => path)
  return {
    counters: numbered(energies.filter(({ path }) => numberIn(tree, path) !== undefined)).map(
      ({ name, path }) => ({ name, path, isPackage: false, rangeUj: null }),
    ),
    denied,
    gauges: gaugesOf(tree, monitors),
  }
}

const HWMON = 'class/hwmon'
const ENERGY = /^energy(\d+)_input$/
const POWER_MEAN = /^power(\d+)_average$/
const POWER_INSTANT = /^power(\d+)_input$/
const POWER_CAP = /^power(\d+)_cap$/
const TEMPERATURE = /^temp(\d+)_input$/

interface Monitor {
  readonly folder: string
  readonly name: string
  readonly isCard: boolean
}

/** A card is called by its number, as there may be several of one kind; any other monitor by its own name. */
function monitorOf(tree: SysfsTree, folder: string, chip: string): Monitor {
  const card = tree.list(`${folder}/device/drm`).find((entry) => /^card\d+$/.test(entry))
  const own = wordIn(tree, `${folder}/label`) ?? wordIn(tree, `${folder}/name`) ?? chip
  return { folder, name: card === undefined ? own : `graphics ${card}`, isCard: card !== undefined }
}

interface Channel {
  readonly name: string
  readonly path: string
}

/** Files of a kind, each called by its monitor and its label. */
function channels(tree: SysfsTree, { folder, name }: Monitor, pattern: RegExp): Channel[] {
  return tree.list(folder).flatMap((file) => {
    const number = pattern.exec(file)?.[1]
    if (number === undefined) return []
    const label = wordIn(tree, `${folder}/${file.replace(/_[a-z]+$/, '_label')}`) ?? ''
    return [{ name: cellText(`${name} ${label}`), path: `${folder}/${file}` }]
  })
}

function gaugesOf(tree: SysfsTree, monitors: readonly Monitor[]): Gauge[] {
  const of = (pattern: RegExp, some = monitors) =>
    some
      .flatMap((monitor) => channels(tree, monitor, pattern))
      .filter(({ path }) => numberIn(tree, path) !== undefined)
  const means = of(POWER_MEAN)
  const hasMean = (path: string) => means.some((mean) => mean.path === path.replace(/_input$/, '_average'))
  const powers = [...means, ...of(POWER_INSTANT).filter(({ path }) => !hasMean(path))]
  const cards = monitors.filter(({ isCard }) => isCard)
  return [
    ...gauges('power', 'power [uW]', powers),
    ...gauges('limit', 'power limit [uW]', of(POWER_CAP)),
    ...gauges('temperature', 'temperature [m°C]', of(TEMPERATURE, cards)),
  ]
}

function gauges(kind: Gauge['kind'], unit: string, found: readonly Channel[]): Gauge[] {
  return numbered(found).map(({ name, path }) => ({ kind, header: `${name} ${unit}`, paths: [path] }))
}

/** Channels of one name get numbers: no two columns are called the same. */
function numbered(found: readonly Channel[]): Channel[] {
  return found.map((channel, i) => {
    const twins = found.filter(({ name }) => name === channel.name)
    return twins.length === 1
      ? channel
      : {
          ...channel,
          name: `${channel.name} ${found.slice(0, i).filter(({ name }) => name === channel.name).length}`,
        }
  })
}

function isDenied(tree: SysfsTree, path: string): boolean {
  const found = tree.read(path)
  return 'problem' in found && found.problem === 'denied'
}
