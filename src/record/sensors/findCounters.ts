import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { numberIn, type SysfsTree, wordIn } from './sysfsTree.js'

/** An energy counter of the operating system. */
export interface EnergyCounter {
  /** Column header's name: `package`, `core of package-0`. */
  readonly name: string
  /** Whether it counts a whole processor package; several of them are summed. */
  readonly isPackage: boolean
  /** File with microjoules. */
  readonly path: string
  /** Microjoules at which it wraps around; null when the system doesn't say. */
  readonly rangeUj: number | null
}

/** Counters that can be read, and those that can't for want of permission. */
export interface FoundCounters {
  readonly counters: readonly EnergyCounter[]
  readonly denied: readonly string[]
}

/**
 * Finds the energy counters of a tree: every folder below `class/powercap` that has `energy_uj`. Zones may lie flat or
 * inside each other. A zone that appears twice under one name (some systems offer the same counter by two ways) is
 * taken once.
 *
 * @throws InputError `counter-missing`, `counter-denied` when none can be read
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-powercap: energy_uj and max_energy_range_uj in microjoules
 */
export function findCounters(tree: SysfsTree): FoundCounters {
  const folder = tree.read(POWERCAP)
  if ('problem' in folder && folder.problem === 'denied') throw closedError(tree)
  const zones = zonesBelow(tree, POWERCAP, 0)
  const denied = zones.filter((zone) => zone.denied).map((zone) => zone.path)
  const readable = withoutTwins(zones.filter((zone) => !zone.denied))
  if (readable.length === 0) throw denied.length > 0 ? deniedError(tree, denied) : missingError(tree)
  return { counters: nameCounters(readable), denied }
}

const POWERCAP = 'class/powercap'
const DEEPEST_ZONE = 4

interface Zone {
  readonly path: string
  readonly name: string
  /** Name of the zone that holds this one; null at the top. */
  readonly parent: string | null
  readonly rangeUj: number | null
  readonly denied: boolean
}

function zonesBelow(tree: SysfsTree, folder: string, depth: number, parent: string | null = null): Zone[] {
  if (depth > DEEPEST_ZONE) return []
  return tree.list(folder).flatMap((entry) => {
    if (/^(device|subsystem|power|uevent)$/.test(entry)) return []
    const path = `${folder}/${entry}`
    const found = tree.read(`${path}/energy_uj`)
    const readable = numberIn(tree, `${path}/energy_uj`) !== undefined
    const denied = 'problem' in found && found.problem === 'denied'
    const name = plainText(wordIn(tree, `${path}/name`) ?? entry, 30).replace(/[",;|\t]/g, ' ')
    const isZone = readable || denied
    const own = isZone
      ? [
          {
            path: `${path}/energy_uj`,
            name,
            parent: parent ?? flatParent(tree, folder, entry),
            denied,
            rangeUj: rangeOf(tree, path),
          },
        ]
      : []
    return [...own, ...zonesBelow(tree, path, depth + 1, isZone ? name : null)]
  })
}

/** In a flat listing `X:0:1` is a part of `X:0`. */
function flatParent(tree: SysfsTree, folder: string, entry: string): string | null {
  const above = /^(.+:\d+):\d+$/.exec(entry)?.[1]
  return above === undefined ? null : (wordIn(tree, `${folder}/${above}/name`) ?? null)
}

function rangeOf(tree: SysfsTree, zone: string): number | null {
  const range = numberIn(tree, `${zone}/max_energy_range_uj`)
  return range !== undefined && range > 0 ? range : null
}

function withoutTwins(zones: readonly Zone[]): Zone[] {
  const seen = new Set<string>()
  return zones.filter((zone) => {
    const key = `${zone.parent} ${zone.name}`
    return !seen.has(key) && seen.add(key)
  })
}

/** One package is `package`; several are `processor 0 …`, so that their sum can be `package`. Parts name their package. */
function nameCounters(zones: readonly Zone[]): EnergyCounter[] {
  const packages = zones.filter(isPackage)
  return zones.map((zone) => ({
    name: nameOf(zone, packages.length),
    isPackage: isPackage(zone),
    path: zone.path,
    rangeUj: zone.rangeUj,
  }))
}

function isPackage({ name, parent }: Zone): boolean {
  return parent === null && /^package/i.test(name)
}

function nameOf(zone: Zone, packages: number): string {
  if (isPackage(zone)) return packages === 1 ? 'package' : zone.name.replace(/^package-?/i, 'processor ')
  return zone.parent === null || packages < 2 ? zone.name : `${zone.name} of ${zone.parent}`
}

function missingError(tree: SysfsTree): InputError {
  const folder = `${tree.root}/${POWERCAP}`
  const entries = tree.list(POWERCAP)
  const why =
    entries.length === 0 ? 'the folder is missing or empty' : `it holds ${plainText(entries.join(', '))}`
  return new InputError('counter-missing', `found no energy counter (energy_uj) under ${folder}: ${why}`, {
    remedy:
      'only Linux has such counters; a virtual machine or container hides them, and some processors and kernels have none (loading the module of the processor’s energy counters may help). Else log with another tool: holdwatt reads its table',
  })
}

function deniedError(tree: SysfsTree, denied: readonly string[]): InputError {
  const files = denied.map((path) => `${tree.root}/${path}`)
  const [found, them] =
    denied.length === 1 ? ['an energy counter', 'it'] : [`${denied.length} energy counters`, 'them']
  return new InputError(
    'counter-denied',
    `found ${found}, but no permission to read ${them}: ${files.slice(0, MOST_LISTED).join(' ')}`,
    {
      remedy: `${WHY_DENIED} Let yourself read ${them}, until the next start: sudo chmod a+r ${files.join(' ')}`,
    },
  )
}

function closedError(tree: SysfsTree): InputError {
  const folder = `${tree.root}/${POWERCAP}`
  return new InputError('counter-denied', `no permission to look for energy counters in ${folder}`, {
    remedy: `${WHY_DENIED} Let yourself look, until the next start: sudo chmod a+rx ${folder}`,
  })
}

const MOST_LISTED = 3

/** @source CVE-2020-8694: energy counters let other programs' secrets be guessed; Linux 5.10 made them root's */
const WHY_DENIED =
  'Linux keeps energy counters to the administrator since they can tell a program what others do; on a machine of your own that runs nothing secret they may be opened. No need to run holdwatt as root.'
