import type { ParsedLog } from '../log/trace.js'
import type { Warning } from '../warnings.js'

/**
 * Warnings when so many samples of a log were broken that what is left may be another story than the machine's, and when its powers may be
 * thousandths of what they were read as.
 *
 * @param file - the log's name, for the warnings
 */
export function warnOfRepairs({ trace, repairs }: ParsedLog, file: string): readonly Warning[] {
  const broken = repairs
    .filter(({ kind }) => BREAKAGES.includes(kind))
    .reduce((sum, { count }) => sum + count, 0)
  const samples = trace.timesS.length
  const thousands = repairs.find(({ kind }) => kind === 'thousands')
  return [
    ...(broken > MANY_BROKEN * samples ? [{ code: 'log-much-mended', file, broken, samples } as const] : []),
    ...(thousands === undefined
      ? []
      : [{ code: 'read-as-thousands', file, detail: thousands.detail } as const]),
  ]
}

// A tenth: ten times what faults of a clock or a logger do to a log that is otherwise sound; common practice, no source.
const MANY_BROKEN = 0.1

/** What no sound logger does; repeated rows, coarse stamps, lost samples and wrapping counters are mended without loss. */
const BREAKAGES: readonly string[] = [
  'no-time',
  'no-power',
  'wild-time',
  'clock-jump',
  'out-of-order',
  'duplicate-time',
  'impossible-power',
  'counter-reset',
  'counter-stale',
]
