import type { Trace } from '../../log/trace.js'

/** Nearer than this part of the step to either side a sample counts as on that side: noise of a usual logger; common practice, no source. */
const MARGIN = 0.12
/** Ends needed before a log is said to show instants: three without a mixed sample come by chance in 1 of 70 averaging logs. */
const LEAST_ENDS = 3

/**
 * Whether a log shows the power of each sample's instant rather than the mean since the sample before.
 *
 * Work stops abruptly. The sample in which it stops mixes work and pause if the logger averages, and lies anywhere between
 * the two: in (1 - 2 MARGIN) = 76 % of ends it is clearly off both. A logger of instants shows one or the other.
 *
 * @param endsS - ends of runs that are followed by a pause, seconds from the log's first sample
 * @returns false (means: what most loggers write) when there are too few ends to tell
 */
export function showsInstants(trace: Trace, endsS: readonly number[]): boolean {
  const mixed = endsS.map((endS) => isMixed(trace, endS)).filter((found) => found !== undefined)
  return mixed.length >= LEAST_ENDS && mixed.filter(Boolean).length < 0.3 * mixed.length
}

/** Undefined where power doesn't fall to less than half within two samples around the end. */
function isMixed({ timesS, powerW }: Trace, endS: number): boolean | undefined {
  let i = timesS.findIndex((timeS) => timeS > endS)
  if (i < 3) return undefined
  // a noted end may be a sample off: start from where the power has fallen
  while (i > 2 && powerW[i - 1]! < 0.5 * powerW[i - 3]!) i--
  const beforeW = Math.max(powerW[i - 2]!, powerW[i - 3] ?? 0)
  const afterW = Math.min(
    powerW[i + 1] ?? Number.POSITIVE_INFINITY,
    powerW[i + 2] ?? Number.POSITIVE_INFINITY,
  )
  if (!(afterW < 0.5 * beforeW)) return undefined
  const share = (k: number) => (powerW[k]! - afterW) / (beforeW - afterW)
  return [i - 1, i, i + 1].some((k) => k < powerW.length && share(k) > MARGIN && share(k) < 1 - MARGIN)
}
