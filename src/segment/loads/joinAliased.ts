import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'
import { findFlicker, type Rest, restOf } from './findFlicker.js'
import type { WorkRange } from './workRanges.js'

/**
 * Joins what a log of instants leaves of work that comes and goes faster than it is sampled: fragments, with samples of a moment's wait
 * between them, or with a stretch that is neither idle nor a level. Such a log shows no run, and no pause.
 *
 * @param ranges - stretches of work of a log whose samples are instants
 */
export function joinAliased(trace: Trace, ranges: readonly WorkRange[]): readonly WorkRange[] {
  const rest = restOf(trace, ranges)
  if (rest === null) return ranges
  const flicker = findFlicker(trace, rest).map((range): JoinedRange => {
    return { ...range, idleBeforeW: rest.idleW, idleAfterW: rest.idleW, joined: true }
  })
  const all = [...ranges, ...flicker].sort((a, b) => a.from - b.from)
  const alike = (belong: (before: JoinedRange, after: JoinedRange) => boolean) => {
    return (before: JoinedRange, after: JoinedRange) =>
      belong(before, after) && riseAlike(trace, before, after, rest)
  }
  const whole = joinWhere(
    all,
    alike((before, after) => isRestless(trace, before, after, rest)),
  )
  const joined = joinWhere(
    whole,
    alike((before, after) => belongs(trace, before, after)),
  )
  return joined.map(({ joined: isJoined, ...range }) =>
    isJoined && scatters(trace, range, rest) ? { ...range, unresolved: true } : range,
  )
}

/** Work as it is found, or joined here. */
interface JoinedRange extends WorkRange {
  readonly joined?: true
}

function joinWhere(
  ranges: readonly JoinedRange[],
  belong: (before: JoinedRange, after: JoinedRange) => boolean,
): readonly JoinedRange[] {
  const joined: JoinedRange[] = []
  for (const range of ranges) {
    const before = joined.at(-1)
    if (before && (range.to <= before.to || belong(before, range)))
      joined[joined.length - 1] = bothOf(before, range)
    else joined.push(range)
  }
  return joined
}

function bothOf(before: JoinedRange, after: JoinedRange): JoinedRange {
  const last = after.to > before.to ? after : before
  return {
    from: before.from,
    to: last.to,
    idleBeforeW: before.idleBeforeW,
    idleAfterW: last.idleAfterW,
    joined: true,
  }
}

/** What rises by less than this share of the work beside it is another part, or another task. Common practice, no source. */
const SAME_TASK = 0.4

function riseAlike(trace: Trace, before: WorkRange, after: WorkRange, { idleW }: Rest): boolean {
  const risesW = [topOf(trace, before) - idleW, topOf(trace, after) - idleW]
  return Math.min(...risesW) >= SAME_TASK * Math.max(...risesW)
}

/** A stretch between work is no idle that lasts no longer, s, most of whose samples stand above idle, at no one level, and whose neighbours differ by more than idle's. Common practice, no source. */
const RESTLESS = {
  longestS: 30,
  aboveShare: 0.6,
  aboveSteps: 5,
  above: 0.06,
  steps: 3,
  step: 0.01,
  spread: 0.3,
}

function isRestless(trace: Trace, before: WorkRange, after: WorkRange, rest: Rest): boolean {
  const { timesS, powerW } = trace
  if (after.from <= before.to) return true
  if (timesS[after.from]! - timesS[before.to - 1]! > RESTLESS.longestS) return false
  const riseW = Math.max(topOf(trace, before), topOf(trace, after)) - rest.idleW
  const leastW = rest.idleW + Math.max(RESTLESS.aboveSteps * rest.stepW, RESTLESS.above * riseW)
  const between = powerW.subarray(before.to, after.from)
  const above = between.filter((watts) => watts > leastW).length
  if (above < RESTLESS.aboveShare * between.length) return false
  const spreadW = quantile(between, 0.9) - quantile(between, 0.1)
  const isFlat = spreadW < RESTLESS.spread * (quantile(between, 0.5) - rest.idleW)
  if (isFlat && between.length > 1) return false
  const stepsW = stepsOf(powerW, { from: before.to, to: after.from })
  const leastStepW = Math.max(RESTLESS.steps * rest.stepW, RESTLESS.step * riseW)
  return stepsW.length === 0 || quantile(stepsW, 0.5) > leastStepW
}

/** Beside work that flickers, a wait of so many samples, and s, is no longer than its own waits may seem; fragments have so few samples. Common practice, no source. */
const BESIDE = { waitSamples: 8, waitS: 10, samples: 8 }

/** Whether two stretches are one task's: both flicker, or one does and the other is a fragment. */
function belongs({ timesS }: Trace, before: JoinedRange, after: JoinedRange): boolean {
  const waitS = timesS[after.from]! - timesS[before.to - 1]!
  if (after.from - before.to > BESIDE.waitSamples || waitS > BESIDE.waitS) return false
  const isFragment = ({ from, to }: IndexRange) => to - from <= BESIDE.samples
  return (
    (before.joined === true && (after.joined === true || isFragment(after))) ||
    (after.joined === true && isFragment(before))
  )
}

/** A fifth of the neighbours differ by more than this share of the work's rise: a steady task's instants differ by less than a tenth. Common practice, no source. */
const SCATTER = { quantile: 0.8, share: 0.13 }

/** Whether the samples of a joined stretch are no course that could be followed. */
function scatters(trace: Trace, range: WorkRange, rest: Rest): boolean {
  const stepsW = stepsOf(trace.powerW, range)
  return quantile(stepsW, SCATTER.quantile) > SCATTER.share * (topOf(trace, range) - rest.idleW)
}

/** The upper powers of work, W. */
function topOf({ powerW }: Trace, { from, to }: IndexRange): number {
  return quantile(powerW.subarray(from, to), 0.9)
}

function stepsOf(powerW: Float64Array, { from, to }: IndexRange): readonly number[] {
  return Array.from({ length: Math.max(0, to - from - 1) }, (_, k) =>
    Math.abs(powerW[from + k + 1]! - powerW[from + k]!),
  )
}
