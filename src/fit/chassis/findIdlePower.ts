import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Load } from '../../segment/load.js'

/**
 * Power between loads, W: the median of the samples beside a load and in its pauses; undefined when fewer than three of
 * them lie below half the working power.
 *
 * @param load - one of the trace's loads
 */
export function findIdlePower(trace: Trace, load: Load): number | undefined {
  const workingW = quantile(Array.from(trace.powerW), 0.9)
  const powers: number[] = []
  trace.timesS.forEach((t, i) => {
    const powerW = trace.powerW[i]!
    if (isBeside(t, load, trace.intervalS) && powerW < workingW / 2) powers.push(powerW)
  })
  return powers.length < 3 ? undefined : quantile(powers, 0.5)
}

/** Within two minutes before the load or half a minute after it, or between its runs, well clear of their edges. */
function isBeside(t: number, load: Load, intervalS: number): boolean {
  if (t <= load.startS - 120 || t >= load.endS + 30) return false
  if (t < load.startS) return true
  return !load.runs.some((run) => t > run.startS - intervalS && t < run.endS + 2 * intervalS)
}
