import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import type { Sensors } from '../sensors/findSensors.js'
import { formatHeader, parseRow, type WrittenRow } from './formatRecording.js'
import { parseRun, type RecordedRun } from './recordedRun.js'

/** What a recording holds that was cut, and where it goes on. */
export interface ResumePoint {
  /** Bytes of the file that are whole; what follows was torn when it was cut. */
  readonly wholeBytes: number
  /** The last sample; null when there is none yet. */
  readonly last: WrittenRow | null
  /** Microjoules that each counter had reached. */
  readonly totalUj: readonly number[]
  readonly runs: readonly RecordedRun[]
  /** Time that was recorded, s; the time between a cut and going on is not. */
  readonly recordedS: number
  /** Times that nobody recorded. */
  readonly gaps: readonly { readonly atS: number; readonly forS: number }[]
}

/**
 * Finds where a recording goes on that a power cut, a full disk or an interrupt ended: behind its last whole line. A
 * torn last line, and the zero bytes that some file systems leave behind a cut, are not part of it.
 *
 * @param file - its bytes: a torn line may hold some that are no text
 * @param head - the lines that this recording would begin with: what is recorded, and the header
 * @throws InputError `resume-not-recording`, `resume-differs`
 */
export function findResumePoint(file: Uint8Array, sensors: Sensors, head: readonly string[]): ResumePoint {
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(file)
  const header = formatHeader(sensors)
  const lines = text.split('\n')
  const at = lines.findIndex((line) => line.startsWith(header.slice(0, header.indexOf(',') + 1)))
  if (!text.startsWith('# recorded by holdwatt') || at < 0 || at === lines.length - 1) throw notRecording()
  if (lines[at] !== header) throw differs('other counters', lines[at]!, header)
  const work = lines.slice(0, at).filter((line) => line.startsWith('# command: '))
  const expected = head.filter((line) => line.startsWith('# command: '))
  if (work.join() !== expected.join()) throw differs('another command', work.join(), expected.join())
  const rows = new Rows(sensors)
  // What stands behind the last line break is torn, whatever it looks like.
  let end = at + 1
  lines.slice(at + 1, -1).forEach((line, i) => {
    if (rows.take(line)) end = at + 2 + i
  })
  return { wholeBytes: endOfLine(file, end), ...rows.found() }
}

/** Bytes of a file up to the end of a line, counted from 1. */
function endOfLine(file: Uint8Array, line: number): number {
  let at = 0
  for (let passed = 0; passed < line; passed++) at = file.indexOf(LINE_BREAK, at) + 1
  return at
}

const LINE_BREAK = 0x0a

class Rows {
  private last: WrittenRow | null = null
  private recordedS = 0
  private intervalS = Number.POSITIVE_INFINITY
  private readonly gaps: { atS: number; forS: number }[] = []
  private readonly totals: number[]
  private readonly runs: RecordedRun[] = []

  constructor(private readonly sensors: Sensors) {
    this.totals = sensors.counters.map(() => 0)
  }

  /** Whether a line is whole. */
  take(line: string): boolean {
    const run = parseRun(line)
    if (run !== undefined) this.runs.push(run)
    const row = run === undefined ? parseRow(line, this.sensors) : undefined
    if (row !== undefined) this.takeRow(row)
    return run !== undefined || row !== undefined
  }

  found() {
    const { last, recordedS, totals, runs, gaps } = this
    return { last, recordedS, totalUj: totals, runs, gaps }
  }

  private takeRow(row: WrittenRow): void {
    const stepS = row.elapsedS - (this.last?.elapsedS ?? row.elapsedS)
    if (stepS > 0) this.intervalS = Math.min(this.intervalS, Math.max(stepS, SHORTEST_GAP_S))
    if (stepS <= GAP_INTERVALS * this.intervalS) this.recordedS += stepS
    else this.gaps.push({ atS: row.elapsedS - stepS, forS: stepS })
    row.totalUj.forEach((total, i) => {
      if (total !== undefined) this.totals[i] = total
    })
    this.last = row
  }
}

// A step of more than this many intervals is time that nobody recorded.
const GAP_INTERVALS = 5
// Samples at the ends of runs come closer than the interval.
const SHORTEST_GAP_S = 2

function notRecording(): InputError {
  return new InputError('resume-not-recording', 'this is no recording that can go on', {
    remedy: 'give the log that holdwatt log began with --out, or leave --resume out to begin a new one',
  })
}

function differs(what: string, was: string, now: string): InputError {
  return new InputError(
    'resume-differs',
    `this recording is of ${what}: it has "${plainText(was, 200)}", now it would be "${plainText(now, 200)}"`,
    { remedy: 'go on with the same command on the same machine, or begin a new log with another --out' },
  )
}
