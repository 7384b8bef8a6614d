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

/** Where power capping has its zones. */
export const POWERCAP = 'class/powercap'

/**
 * Finds the energy counters of power capping: every folder below `class/powercap` that has `energy_uj`. Zones may lie flat or
 * inside each other. A zone that appears twice under one name (some systems offer the same counter by two ways) is
 * taken once.
 *
 * @source Linux 6.1 Documentation/ABI/testing/sysfs-class-powercap: energy_uj and max_energy_range_uj in microjoules
 */
export function findCounters(tree: SysfsTree): FoundCounters {
  const zones = zonesBelow(tree, POWERCAP, 0)
  const denied = zones.filter((zone) => zone.denied).map((zone) => zone.path)
  return { counters: nameCounters(withoutTwins(zones.filter((zone) => !zone.denied))), denied }
}

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
