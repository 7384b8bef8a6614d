import type { Trace } from '../../log/trace.js'
import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Sustained } from '../load.js'
import type { WorkRange } from '../loads/workRanges.js'

/** Of work that its samples do not follow: a mean lies between the lowest and the highest of them, wherever drift or a limit may take it. */
export function withinSamples(
  sustained: Sustained,
  { powerW }: Trace,
  runs: readonly WorkRange[],
): Sustained {
  let [leastW, mostW] = [Number.POSITIVE_INFINITY, 0]
  for (const { from, to } of runs) {
    for (const watts of powerW.subarray(from, to)) {
      leastW = Math.min(leastW, watts)
      mostW = Math.max(mostW, watts)
    }
  }
  const clip = (watts: number) => Math.min(mostW, Math.max(leastW, watts))
  const { value, low, high, level } = sustained.levelW
  const levelW: Estimate = { value: clip(value), low: clip(low), high: clip(high), level }
  const bounds = sustained.bounds && {
    floorW: clip(sustained.bounds.floorW),
    ceilingW: clip(sustained.bounds.ceilingW),
  }
  return { ...sustained, levelW, bounds }
}
