/** One run of the command. Seconds count from the log's first sample. */
export interface RecordedRun extends RunEnd {
  /** Counted from 1. */
  readonly number: number
  readonly startS: number
  readonly endS: number
}

/** How a run ended. */
export interface RunEnd {
  /** Exit status; null when a signal ended it. */
  readonly status: number | null
  readonly signal: string | null
  /** As the command printed it, in the workload's unit; null when it printed none. */
  readonly score: number | null
}

/** Whether a run did its work, as far as its exit status tells. */
export function endedWell({ status }: RunEnd): boolean {
  return status === 0
}

/**
 * Whether a run was ended from outside before its work was done: `--resume` makes up for it.
 *
 * @source POSIX.1-2017, Shell Command Language 2.8.2: a shell reports a command that a signal ended with a status above 128;
 *   that it is 128 and the signal's number is common practice
 */
export function wasCut({ status, signal }: RunEnd): boolean {
  return signal === null ? CUT_STATUSES.includes(status!) : CUT_SIGNALS.includes(signal)
}

const CUT_SIGNALS: readonly string[] = ['SIGHUP', 'SIGINT', 'SIGKILL', 'SIGTERM']
const CUT_STATUSES: readonly number[] = [129, 130, 137, 143]

/**
 * A run as a line of the log, above the rows that come after it; readers pass it over, `--resume` reads it.
 *
 * @example formatRun({ number: 3, startS: 130.2, endS: 190.1, status: 0, signal: null, score: 15210 })
 *   // '# run 3 from 130.200 s to 190.100 s: status 0; score 15210'
 */
export function formatRun({ number, startS, endS, status, signal, score }: RecordedRun): string {
  const end = signal === null ? `status ${status}` : `signal ${signal}`
  const scored = score === null ? '' : `; score ${score}`
  return `# run ${number} from ${startS.toFixed(3)} s to ${endS.toFixed(3)} s: ${end}${scored}`
}

/** Reads a line that `formatRun` wrote; undefined for any other. */
export function parseRun(line: string): RecordedRun | undefined {
  const match = RUN_LINE.exec(line)
  if (match === null) return undefined
  const [, number, startS, endS, status, signal, score] = match
  return {
    number: Number(number),
    startS: Number(startS),
    endS: Number(endS),
    status: status === undefined ? null : Number(status),
    signal: signal ?? null,
    score: score === undefined ? null : Number(score),
  }
}

const RUN_LINE =
  /^# run (\d+) from (\d+\.\d{3}) s to (\d+\.\d{3}) s: (?:status (\d+)|signal (\w+))(?:; score ([\d.e+-]+))?$/
