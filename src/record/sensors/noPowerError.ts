import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { POWERCAP } from './findCounters.js'
import type { SysfsTree } from './sysfsTree.js'

/**
 * Why nothing of a tree tells the machine's power, and what helps.
 *
 * @param denied - counters that are there and may not be read
 * @param hasBattery - whether there is a battery, which gives no power now
 */
export function noPowerError(tree: SysfsTree, denied: readonly string[], hasBattery: boolean): InputError {
  const folder = tree.read(POWERCAP)
  if ('problem' in folder && folder.problem === 'denied') return closedError(tree)
  return denied.length > 0 ? deniedError(tree, denied) : missingError(tree, hasBattery)
}

function missingError(tree: SysfsTree, hasBattery: boolean): InputError {
  const folder = `${tree.root}/${POWERCAP}`
  const entries = tree.list(POWERCAP)
  const why =
    entries.length === 0 ? 'the folder is missing or empty' : `it holds ${plainText(entries.join(', '))}`
  const battery = hasBattery ? '; the battery gives no power now: pull the plug to log what it gives' : ''
  return new InputError(
    'counter-missing',
    `found no energy counter (energy_uj) under ${folder}: ${why}${battery}`,
    {
      remedy:
        'only Linux has such counters; a virtual machine or container hides them, and some processors and kernels have none (loading the module of the processor’s energy counters may help). Else log with another tool: holdwatt reads its table',
    },
  )
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
