import { quickselect } from '../../numeric/quickselect.js'
import { usualSteps } from '../time/stepsOf.js'

/**
 * Rows whose stamps lost the carry into the next second: rounded up to a full second that was never added, as by a logger
 * that prints seconds and thousandths apart. Such a run of stamps has no fraction, begins a second too early (its
 * first step is a second short) and ends with a step a second too long.
 *
 * @param seconds - times in the order of the file
 * @param intervalS - usual step
 * @returns rows to be moved on by a second
 * @example findLostCarries(Float64Array.of(0.95, 1.95, 2.95, 3, 4.95, 5.95, 6.95), 1) // [3]: 3 should be 4
 */
export function findLostCarries(seconds: Float64Array, intervalS: number): number[] {
  const lost: number[] = []
  // Worked out at the first stamp that may be one: in most logs none is.
  let toleranceS: number | undefined
  const near = (step: number, usual: number) => {
    const offS = Math.abs(step - usual)
    if (offS >= CARRY_S / 2) return false
    toleranceS ??= toleranceOf(seconds, intervalS)
    return offS < toleranceS
  }
  for (let start = 1; start < seconds.length; start++) {
    const before = seconds[start - 1]!
    if (!isWhole(seconds[start]!) || isWhole(before)) continue
    if (!near(seconds[start]! - before, intervalS - CARRY_S)) continue
    let end = start + 1
    while (
      end < seconds.length &&
      isWhole(seconds[end]!) &&
      near(seconds[end]! - seconds[end - 1]!, intervalS)
    )
      end++
    if (end === seconds.length || !near(seconds[end]! - seconds[end - 1]!, intervalS + CARRY_S)) continue
    for (let row = start; row < end; row++) lost.push(row)
    start = end
  }
  return lost
}

/** What a carry is worth, s. */
export const CARRY_S = 1
// Steps scatter by this many median deviations at most; where that is half a second, carries can't be told from jitter.
const JITTERS = 4
const LEAST_TOLERANCE_S = 0.06

/** How far a step may be off, s; 0 where carries can't be told from jitter. */
function toleranceOf(seconds: Float64Array, intervalS: number): number {
  const toleranceS = Math.max(LEAST_TOLERANCE_S, JITTERS * jitterOf(seconds, intervalS))
  return toleranceS > CARRY_S / 2 ? 0 : toleranceS
}

/** Median deviation of the steps from the usual one. */
function jitterOf(seconds: Float64Array, intervalS: number): number {
  const deviations = usualSteps(seconds).map((step) => Math.abs(step - intervalS))
  return deviations.length === 0 ? 0 : quickselect(deviations, Math.floor(deviations.length / 2))
}

function isWhole(seconds: number): boolean {
  return Math.abs(seconds - Math.round(seconds)) < 1e-6
}
