import type { LoopMachine } from './loopMachine.js'
import { type LoopState, recallState, rememberedState } from './loopState.js'
import { type LoopPlan, type LoopRun, pause, simulateRun } from './simulateRun.js'

/** What limits remember at the ends of three runs in a row. */
export type ThreeEnds = readonly [readonly number[], readonly number[], readonly number[]]

/** Whether a loop that comes to rest as the last of its runs show will have done so after so many more. */
export function restsWithin(runs: number, [first, before, now]: ThreeEnds): boolean {
  const changed = difference(now, before)
  const ratio = keptShare(difference(before, first), changed, now)
  return ratio < SLOWEST && isWithin(changed, now, (STILL * (1 - ratio)) / ratio ** (runs + 1))
}

/**
 * The run that a loop comes to rest at: one that leaves what limits remember as it found it.
 *
 * From what two runs did to it the state is extrapolated to where nothing would be done to it, and put to the test by another run, until one
 * changes nothing that counts.
 *
 * @param state - at the end of the last of three runs; it is moved on
 * @returns null when no such run is found soon, as in a loop that repeats every few runs
 * @source A. C. Aitken (1926), Proceedings of the Royal Society of Edinburgh 46, 289-305; for vectors: D. G. Anderson (1965),
 * Journal of the ACM 12, 547-560
 */
export function restingRun(
  machine: LoopMachine,
  plan: LoopPlan,
  state: LoopState,
  [first, before, now]: ThreeEnds,
): LoopRun | null {
  let fromEnd = before
  let end = now
  let fromChange = difference(before, first)
  let change = difference(now, before)
  const still = STILL * (1 - keptShare(fromChange, change, now))
  for (let tried = 0; tried < MOST_TRIES; tried++) {
    const bent = difference(change, fromChange)
    const share = product(change, bent, end) / product(bent, bent, end)
    const start: number[] = []
    for (let i = 0; i < end.length; i++) start.push(end[i]! - share * (end[i]! - fromEnd[i]!))
    recallState(state, start)
    pause(state, machine, plan.gapS)
    const run = simulateRun(state, machine, plan, plan.rate)
    if (run.unfinished) return null
    fromEnd = end
    fromChange = change
    end = rememberedState(state, machine)
    change = difference(end, start)
    if (isWithin(change, end, still)) return run
  }
  return null
}

/** What is left from run to run of a change; beyond this a rest is not told by three runs. */
const SLOWEST = 0.9
/** Share of a state by which it may miss its rest: a score misses less. */
const STILL = 3e-5
/** Two or three are the rule. */
const MOST_TRIES = 6

/**
 * Share of a change that the next run makes again: that of the value of which most is left, as what fades fast says nothing of what fades
 * slowly. What hardly changes at all has no share of its own.
 */
function keptShare(earlier: readonly number[], later: readonly number[], sizes: readonly number[]): number {
  let most = 0
  for (let i = 0; i < later.length; i++) {
    const changed = Math.abs(later[i]!)
    if (changed > UNCHANGED * Math.abs(sizes[i]!)) most = Math.max(most, changed / Math.abs(earlier[i]!))
  }
  return most
}

/** Share of a value below which its change is rounding's, or the end of a fast approach. */
const UNCHANGED = 1e-9

function difference(a: readonly number[], b: readonly number[]): number[] {
  const out: number[] = []
  for (let i = 0; i < a.length; i++) out.push(a[i]! - b[i]!)
  return out
}

/** Of two changes, each as a share of a state. */
function product(a: readonly number[], b: readonly number[], sizes: readonly number[]): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) {
    const size = sizes[i]!
    if (size !== 0) sum += (a[i]! / size) * (b[i]! / size)
  }
  return sum
}

function isWithin(change: readonly number[], state: readonly number[], share: number): boolean {
  for (let i = 0; i < change.length; i++) if (Math.abs(change[i]!) > share * Math.abs(state[i]!)) return false
  return true
}
