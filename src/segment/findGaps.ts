import { isGap, type Trace } from '../log/trace.js'
import type { Load } from './load.js'

/** Time without samples. */
export interface LogGap {
  readonly atS: number
  readonly forS: number
  /** In the middle of a load, between loads, or a clock that was set while a load went on. */
  readonly place: 'load' | 'between' | 'jump'
  /** As long as a stage that it may hide. */
  readonly hidesStage: boolean
}

/** A gap as long as a short burst may hide one whole; common practice, no source. */
const LONG_GAP_S = 30
const LONG_SHARE = 0.05
/** Work this near to a gap on either side, and the gap lies in a load. */
const NEAR_S = 30
/** Loggers rarely pause this long while a load goes on, clocks that are set do. */
const JUMP_LEAST_S = 600

/** Pauses of the logger, in order, each with where it lies. */
export function findGaps(trace: Trace, loads: readonly Load[]): readonly LogGap[] {
  const { timesS, powerW, intervalS } = trace
  const workingW = Math.max(0, ...loads.map((load) => load.sustained.levelW.value)) / 2
  const longestS = Math.max(0, ...loads.map((load) => load.endS - load.startS))
  const gaps: LogGap[] = []
  for (let i = 1; i < timesS.length; i++) {
    const forS = timesS[i]! - timesS[i - 1]!
    if (!isGap(forS, intervalS)) continue
    const atS = timesS[i - 1]!
    const near = (time: number) => time > atS - NEAR_S && time < atS + forS + NEAR_S
    const beside = powerW.filter((_, k) => near(timesS[k]!))
    // A short pause of the loop may stand beside the gap: what the minute around it shows decides.
    const inside = workingW > 0 && beside.filter((power) => power > workingW).length > beside.length / 3
    gaps.push({
      atS,
      forS,
      place: inside ? (forS >= JUMP_LEAST_S ? 'jump' : 'load') : 'between',
      hidesStage: forS >= LONG_GAP_S || forS > LONG_SHARE * longestS,
    })
  }
  return gaps
}
