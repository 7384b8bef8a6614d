import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { IndexRange } from '../indexRange.js'

/** What a log shows outside its work, and how far its work rises above that, W. */
export interface Rest {
  readonly idleW: number
  /** Usual difference of neighbours at rest. */
  readonly stepW: number
  readonly riseW: number
}

/** What a log shows outside its work; null where it shows work alone. */
export function restOf({ powerW }: Trace, ranges: readonly IndexRange[]): Rest | null {
  const outside: number[] = []
  const inside: number[] = []
  const steps: number[] = []
  let next = 0
  for (let i = 0; i < powerW.length; i++) {
    if (next < ranges.length && i >= ranges[next]!.to) next++
    const isWork = next < ranges.length && i >= ranges[next]!.from
    ;(isWork ? inside : outside).push(powerW[i]!)
    if (!isWork && i > 0) steps.push(Math.abs(powerW[i]! - powerW[i - 1]!))
  }
  if (steps.length === 0 || inside.length === 0) return null
  const idleW = quantile(outside, 0.5)
  return { idleW, stepW: quantile(steps, 0.5), riseW: quantile(inside, 0.9) - idleW }
}

/** Neighbours leap when they differ by this share of how high the samples around them rise, and of how high the log's work does. Common practice, no source. */
const LEAP = { share: 0.3, around: 4, ofWork: 0.06, steps: 5 }
/** So many leaps, each so near to the next, in samples and s, and so many a sample: power comes and goes within six or seven samples. Common practice, no source. */
const FLICKER = { fewest: 6, apart: 10, apartS: 10, wait: 0.1, waitApart: 6, often: 0.28 }
/** Rounds of a loop that a log does follow have so many samples, and come as evenly. */
const ROUND = { samples: 5, unevenness: 0.12 }

/** Stretches of a log over which power comes and goes faster than the samples follow, in order; rounds of a loop are none. */
export function findFlicker(trace: Trace, rest: Rest): readonly IndexRange[] {
  const { powerW } = trace
  const rows: number[][] = []
  for (let i = 1; i < powerW.length; i++) {
    if (!isLeap(powerW, i, rest)) continue
    const last = rows.at(-1)?.at(-1)
    const isNear = last !== undefined && isOneFlicker(trace, last, i, rest)
    if (isNear) rows.at(-1)!.push(i)
    else rows.push([i])
  }
  return rows.flatMap((leaps) => {
    const range = rangeOf(powerW, leaps)
    const isOften = leaps.length >= FLICKER.often * (range.to - range.from)
    return leaps.length >= FLICKER.fewest && isOften && !areRounds(powerW, leaps) ? [range] : []
  })
}

/** Whether one leap follows another within a flicker: after work sooner or later, after a wait soon. */
function isOneFlicker({ timesS, powerW }: Trace, from: number, to: number, { idleW }: Rest): boolean {
  if (to - from > FLICKER.apart || timesS[to]! - timesS[from]! > FLICKER.apartS) return false
  const isWait = powerW[from]! - idleW < FLICKER.wait * (powerW[from - 1]! - idleW)
  return !isWait || to - from <= FLICKER.waitApart
}

function isLeap(powerW: Float64Array, i: number, { idleW, stepW, riseW }: Rest): boolean {
  const leapW = Math.abs(powerW[i]! - powerW[i - 1]!)
  if (leapW <= Math.max(LEAP.ofWork * riseW, LEAP.steps * stepW)) return false
  let topW = 0
  for (let k = Math.max(0, i - LEAP.around); k < Math.min(powerW.length, i + LEAP.around); k++)
    topW = Math.max(topW, powerW[k]!)
  return leapW > LEAP.share * (topW - idleW)
}

/** From the first sample that leapt up to the last one before power leapt down. */
function rangeOf(powerW: Float64Array, leaps: readonly number[]): IndexRange {
  const [first, last] = [leaps[0]!, leaps.at(-1)!]
  return {
    from: powerW[first]! > powerW[first - 1]! ? first : first - 1,
    to: powerW[last]! > powerW[last - 1]! ? last + 1 : last,
  }
}

function areRounds(powerW: Float64Array, leaps: readonly number[]): boolean {
  const ups = leaps.filter((i) => powerW[i]! > powerW[i - 1]!)
  const lengths = ups.slice(1).map((i, k) => i - ups[k]!)
  const usual = quantile(lengths, 0.5)
  const unevenness = lengths.reduce((sum, length) => sum + Math.abs(length - usual), 0) / lengths.length
  return usual >= ROUND.samples && unevenness <= ROUND.unevenness * usual
}

/** Fewest ways up from idle that tell, how near to idle they begin, and what they reach at once of what the next samples show. */
const SHARP = { fewest: 6, idleShare: 0.1, reached: 0.75, next: 3 }

/**
 * Whether power that flickers comes up from idle within one sample, as instants show it: a mean over the interval in which it comes up lies in
 * between. It does not where that is seen too seldom to tell.
 *
 * @param ranges - stretches of work, as far as such a log shows them
 */
export function flickersSharply(trace: Trace, ranges: readonly IndexRange[]): boolean {
  const rest = restOf(trace, ranges)
  if (rest === null) return false
  const { powerW } = trace
  let ways = 0
  let sharp = 0
  for (const { from, to } of findFlicker(trace, rest)) {
    for (let i = from; i < to; i++) {
      const topW = Math.max(...powerW.subarray(i, i + SHARP.next)) - rest.idleW
      if (!isLeap(powerW, i, rest)) continue
      // A leap down begins far above idle, too.
      if (powerW[i - 1]! - rest.idleW > SHARP.idleShare * topW) continue
      ways++
      if (powerW[i]! - rest.idleW >= SHARP.reached * topW) sharp++
    }
  }
  return ways >= SHARP.fewest && 2 * sharp > ways
}
