import { isGap, type ParsedLog, type Repair } from '../log/trace.js'
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
      message: `${skipped.length} lines were passed over, the first at line ${first.line} (${first.reason}). ${many ? 'That is more than a header and a summary: look whether samples are among them.' : 'None of them held a sample.'}`,
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
      const serious = jump || share > MANY_LINES
      const code = jump
        ? 'clock-jump'
        : TIME_REPAIRS.includes(mending.kind)
          ? 'time-disordered'
          : `mended-${mending.kind}`
      return { code, severity: serious ? 'caution' : 'note', message: sayRepair(mending), atS: null }
    })
}

function sayRepair({ count, detail, firstLine }: Repair): string {
  const place = firstLine === null ? '' : `, the first at line ${firstLine}`
  return `${detail} (${count} ${count === 1 ? 'time' : 'times'}${place}).`
}

/** A gap as long as a short burst may hide one whole; common practice, no source. */
const LONG_GAP_S = 30
/** Work this near to a gap on either side, and the gap lies in a load. */
const NEAR_S = 30
/** Loggers rarely pause this long while a load goes on, clocks that are set do. */
const JUMP_LEAST_S = 600

function auditGaps({ trace }: ParsedLog, loads: readonly Load[]): readonly Finding[] {
  const { timesS, powerW, intervalS } = trace
  const findings: Finding[] = []
  for (let i = 1; i < timesS.length; i++) {
    const gapS = timesS[i]! - timesS[i - 1]!
    if (!isGap(gapS, intervalS)) continue
    const atS = timesS[i - 1]!
    const working = Math.max(0, ...loads.map((load) => load.sustained.levelW.value)) / 2
    const near = (time: number) => time > atS - NEAR_S && time < atS + gapS + NEAR_S
    const beside = powerW.filter((_, k) => near(timesS[k]!))
    // A short pause of the loop may stand beside the gap: what the minute around it shows decides.
    const inside = working > 0 && beside.filter((power) => power > working).length > beside.length / 3
    const jump = inside && gapS >= JUMP_LEAST_S
    findings.push(jump ? sayJump(gapS, atS) : sayGap({ gapS, atS, inside, loadS: longestS(loads) }))
  }
  return findings.slice(0, MOST_TOLD)
}

const MOST_TOLD = 10

function sayJump(gapS: number, atS: number): Finding {
  return {
    code: 'clock-jump',
    severity: 'unsafe',
    message: `The time jumps by ${formatQuantity(gapS, 'time')} in the middle of a load, as when a clock is set: every later time is wrong by that, and the load is cut in two. Log elapsed time, or correct the times, and read it again.`,
    atS,
  }
}

function sayGap(gap: { gapS: number; atS: number; inside: boolean; loadS: number }): Finding {
  const { gapS, atS, inside, loadS } = gap
  const long = gapS >= LONG_GAP_S || gapS > 0.05 * loadS
  return {
    code: 'gap',
    severity: inside ? (long ? 'unsafe' : 'caution') : 'note',
    message: inside
      ? `No samples for ${formatQuantity(gapS, 'time')} in the middle of a load: the power there is unknown, and a stage that began there is dated too late. Log again without the gap.`
      : `No samples for ${formatQuantity(gapS, 'time')} between loads.`,
    atS,
  }
}

function longestS(loads: readonly Load[]): number {
  return Math.max(0, ...loads.map((load) => load.endS - load.startS))
}
