import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'

/** A machine's limits let through so much more than the log shows it to hold elsewhere. Common practice, no source. */
const ABOVE_HELD = 1.05

/**
 * The level of a rise that has not ended. A fan is at its fastest some time, and a cooler at its best, so a rise may end anywhere
 * between here and what it tends to: the middle of that, and nine tenths of it, and above them what the asymptote may be off by. Where the log shows
 * the machine to hold more elsewhere, it meets the same limits here.
 *
 * @param towardW - what its course tends to
 * @param endW - power at the end
 * @param heldW - the most that any load of the log was held at
 */
export function unfinishedRise(towardW: Estimate, endW: number, heldW: number): Estimate {
  const mostW = heldW > endW ? ABOVE_HELD * heldW : Number.POSITIVE_INFINITY
  const leftW = Math.max(0, Math.min(towardW.value, mostW) - endW)
  return {
    value: Math.min(endW, towardW.value) + leftW / 2,
    low: Math.min(towardW.low, endW + (1 - ESTIMATE_LEVEL) * leftW),
    high: Math.max(Math.min(towardW.high, mostW), endW),
    level: ESTIMATE_LEVEL,
  }
}
