import type { ParsedLog, Repair } from '../log/trace.js'
import { findGaps, type LogGap } from '../segment/findGaps.js'
import type { Load } from '../segment/load.js'
import { formatQuantity } from '../units.js'
import type { Finding } from './finding.js'

/** What the log itself is like as a table: lines passed over, samples mended, time that is missing or jumps. */
export function auditReading(log: ParsedLog, loads: readonly Load[]): readonly Finding[] {
  return [...auditLines(log), ...auditRepairs(log), ...auditGaps(log, loads)]
}

/** A twentieth: more than a header, comments and statistics of any logger. */
const MANY_LINES = 0.05

function auditLines({ skipped, trace }: ParsedLog): readonly Finding[] {
  if (skipped.length === 0) return []
  const many = skipped.length > MANY_LINES * trace.timesS.length && skipped.length > 20
  const first = skipped[0]!
  return [
    {
      code: 'lines-passed-over',
      severity: many ? 'caution' : 'note',
      message: `${skipped.length === 1 ? `Line ${first.line} was passed over` : `${skipped.length} lines were passed over, the first at line ${first.line}`} (${first.reason}). ${many ? 'That is more than a header and a summary: look whether samples are among them.' : skipped.length === 1 ? 'It held no sample.' : 'None of them held a sample.'}`,
      atS: null,
    },
  ]
}

/** Mendings that move time about, and so move stages; the rest is told as a note. */
const TIME_REPAIRS: readonly string[] = [
  'clock-jump',
  'out-of-order',
  'wild-time',
  'time-set-back',
  'clock-set-back',
]

function auditRepairs({ repairs, trace }: ParsedLog): readonly Finding[] {
  return repairs
    .filter(({ kind }) => kind !== 'gap')
    .map((mending): Finding => {
      const share = mending.count / trace.timesS.length
      const jump = /jump|set-back|clock/.test(mending.kind)
      const serious = jump || mending.kind === 'thousands' || share > MANY_LINES
      const code = jump
        ? 'clock-jump'
        : TIME_REPAIRS.includes(mending.kind)
          ? 'time-disordered'
          : `mended-${mending.kind}`
      return { code, severity: serious ? 'caution' : 'note', message: sayRepair(mending), atS: null }
    })
}

function sayRepair({ kind, count, detail, firstLine }: Repair): string {
  const what = `${detail[0]!.toUpperCase()}${detail.slice(1)}`
  // What is done to every row has no count.
  if (kind === 'formula' || kind === 'thousands') return `${what}.`
  const place = firstLine === null ? '' : `, the first at line ${firstLine}`
  return `${what} (${count} ${count === 1 ? 'time' : 'times'}${place}).`
}

function auditGaps({ trace }: ParsedLog, loads: readonly Load[]): readonly Finding[] {
  const gaps = findGaps(trace, loads)
  return gaps.map((gap) => (gap.place === 'jump' ? sayJump(gap) : sayGap(gap))).slice(0, MOST_TOLD)
}

const MOST_TOLD = 10

function sayJump({ forS, atS }: LogGap): Finding {
  return {
    code: 'clock-jump',
    severity: 'unsafe',
    message: `The time jumps by ${formatQuantity(forS, 'time')} in the middle of a load: the machine slept, or its clock was set. What it drew meanwhile is not known, and later times may be wrong by as much. Log again, awake and in elapsed time, or take one side by itself with \`--from\` or \`--to\`.`,
    atS,
  }
}

function sayGap({ forS, atS, place, hidesStage }: LogGap): Finding {
  const inside = place === 'load'
  return {
    code: 'gap',
    severity: inside ? (hidesStage ? 'unsafe' : 'caution') : 'note',
    message: inside
      ? `No samples for ${formatQuantity(forS, 'time')} in the middle of a load: the power there is unknown, and a stage that began there is dated too late. Log again without the gap.`
      : `No samples for ${formatQuantity(forS, 'time')} between loads.`,
    atS,
  }
}
