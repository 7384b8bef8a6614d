import type { ParsedLog } from '../log/trace.js'
import type { Load } from '../segment/load.js'
import { auditLoad } from './auditLoad.js'
import { auditReading } from './auditReading.js'
import { auditSensors } from './auditSensors.js'
import { auditStart } from './auditStart.js'
import type { Finding } from './finding.js'

/**
 * Audits a log: whether its samples, its sensors and its longest load are safe to draw conclusions from.
 *
 * Other loads of the same log are not judged: warming up before a test is no fault.
 *
 * @param ambientC - room temperature where a sheet notes it
 */
export function auditLog(
  log: ParsedLog,
  loads: readonly Load[],
  ambientC: number | null = null,
): readonly Finding[] {
  const reading = auditReading(log, loads)
  const main = longestOf(loads)
  if (main === undefined) return [...reading, NO_LOAD]
  const before = loads[loads.indexOf(main) - 1]
  return [
    ...reading,
    ...auditStart({ trace: log.trace, load: main, before, ambientC }),
    ...auditLoad(log.trace, main),
    ...auditSensors(log.trace, main),
  ]
}

const NO_LOAD: Finding = {
  code: 'no-load',
  severity: 'unsafe',
  message:
    'The power never rises clearly above idle, so no load was found. Check that this is the right log and the right power column (--power).',
  atS: null,
}

function longestOf(loads: readonly Load[]): Load | undefined {
  return loads.reduce<Load | undefined>(
    (best, load) => (best === undefined || load.endS - load.startS > best.endS - best.startS ? load : best),
    undefined,
  )
}
