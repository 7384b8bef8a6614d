import type { ParsedLog } from '../log/trace.js'
import type { Load } from '../segment/load.js'
import { findImplausible } from '../segment/requirePlausible.js'
import { formatQuantity } from '../units.js'
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
  const impossible = auditPlausibility(log, loads)
  if (impossible.length > 0) return [...reading, ...impossible]
  if (main === undefined) return [...reading, NO_LOAD]
  const before = loads[loads.indexOf(main) - 1]
  return [
    ...reading,
    ...auditStart({ trace: log.trace, load: main, before, ambientC }),
    ...auditLoad(log.trace, main),
    ...auditSensors(log.trace, main),
  ]
}

/** Readings that no machine gives: nothing else of the log is judged then. */
function auditPlausibility(log: ParsedLog, loads: readonly Load[]): readonly Finding[] {
  const { powerW, intervalS } = findImplausible(log, loads)
  const findings: Finding[] = []
  if (powerW !== null) {
    findings.push({
      code: 'power-implausible',
      severity: 'unsafe',
      message: `No machine draws ${Number((powerW / 1000).toPrecision(3))} kW: the column "${log.columns.power}" holds milliwatts, or no power. Name its unit in the header, or pick another column with --power.`,
      atS: null,
    })
  }
  if (intervalS !== null) {
    findings.push({
      code: 'times-implausible',
      severity: 'unsafe',
      message: `One sample every ${formatQuantity(intervalS, 'time', 3)} shows no load: the column ${log.columns.time === null ? 'of times' : `"${log.columns.time}"`} holds milliseconds, or the logger was too slow. Name its unit in the header, or sample every second.`,
      atS: null,
    })
  }
  return findings
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
