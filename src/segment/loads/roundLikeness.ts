import type { Trace } from '../../log/trace.js'
import { bisectRight } from '../../numeric/bisectRight.js'
import type { WorkRange } from './workRanges.js'

/** How two stretches of work differ. */
export interface RoundDifference {
  /** Natural logarithm of the later one's length over the earlier one's. */
  readonly length: number
  /** Mean distance of their courses, as a share of their power above idle: aligned at both ends, and by the clock from their beginning. */
  readonly stretched: number
  readonly clocked: number
  /**
   * How far the later one lies above the earlier one, in the alignment in which they are nearer: the part of that distance that is a rise. 0 where
   * both only fall, and the later one from no higher power: it stays up for longer, as after a longer rest.
   */
  readonly risen: number
  /** The earlier one's mean power over the later one's. */
  readonly power: number
}

/** Parts of its time in which a course is compared. */
const PARTS = 24

/** What lies above another power by less than this share of it is no higher. Common practice, no source. */
const HIGHER = 1.03

/** Whether a course comes down or stays; its first and last part may hold a part of an edge. */
function onlyFalls(course: readonly number[]): boolean {
  return course.slice(2, -1).every((powerW, k) => powerW <= HIGHER * course[k + 1]!)
}

/** Compares stretches of work by their courses: mean powers in equal parts of their time, from a running sum of the energy. */
export function roundComparer(trace: Trace): (a: WorkRange, b: WorkRange) => RoundDifference {
  const energyJ = runningEnergy(trace)
  const means = (range: WorkRange, lengthS: number) => courseOf(trace, energyJ, range, lengthS)
  return (a, b) => {
    const [lengthA, lengthB] = [lengthOf(trace, a), lengthOf(trace, b)]
    const shorter = Math.min(lengthA, lengthB)
    const idleW = Math.max(a.idleAfterW ?? 0, b.idleBeforeW ?? 0)
    const [wholeA, wholeB] = [means(a, lengthA), means(b, lengthB)]
    const stretched = distance(wholeA, wholeB, idleW)
    const clocked = distance(means(a, shorter), means(b, shorter), idleW)
    const staysUp = onlyFalls(wholeA) && onlyFalls(wholeB) && wholeB[1]! <= HIGHER * wholeA[1]!
    return {
      length: Math.log(lengthB / lengthA),
      stretched: stretched.apart,
      clocked: clocked.apart,
      risen: staysUp ? 0 : (stretched.apart <= clocked.apart ? stretched : clocked).risen,
      power: mean(wholeA) / Math.max(mean(wholeB), 1e-9),
    }
  }
}

/** Seconds of a range, each sample speaking for the interval that ends at it. */
export function lengthOf({ timesS }: Trace, { from, to }: WorkRange): number {
  return Math.max(timesS[to - 1]! - (from > 0 ? timesS[from - 1]! : timesS[0]!), 1e-3)
}

function runningEnergy({ timesS, powerW }: Trace): Float64Array {
  const energyJ = new Float64Array(timesS.length)
  for (let i = 1; i < timesS.length; i++) {
    energyJ[i] = energyJ[i - 1]! + powerW[i]! * (timesS[i]! - timesS[i - 1]!)
  }
  return energyJ
}

function courseOf(trace: Trace, energyJ: Float64Array, range: WorkRange, lengthS: number): readonly number[] {
  const startS = range.from > 0 ? trace.timesS[range.from - 1]! : trace.timesS[0]!
  const at = Array.from({ length: PARTS + 1 }, (_, k) =>
    energyAt(trace, energyJ, startS + (k * lengthS) / PARTS),
  )
  return at.slice(1).map((joules, k) => (joules - at[k]!) / (lengthS / PARTS))
}

function energyAt({ timesS, powerW }: Trace, energyJ: Float64Array, timeS: number): number {
  const i = bisectRight(timesS, timeS)
  if (i === 0) return 0
  if (i >= timesS.length) return energyJ.at(-1)!
  return energyJ[i - 1]! + powerW[i]! * (timeS - timesS[i - 1]!)
}

/** Mean distance of two courses, and the part of it by which the second lies higher; shares of their power above idle. */
function distance(
  a: readonly number[],
  b: readonly number[],
  idleW: number,
): { readonly apart: number; readonly risen: number } {
  const aboveW = Math.max(0.5 * (mean(a) + mean(b)) - idleW, 1e-9)
  return {
    apart: mean(a.map((value, k) => Math.abs(value - b[k]!))) / aboveW,
    risen: mean(a.map((value, k) => Math.max(b[k]! - value, 0))) / aboveW,
  }
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}
