import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { type PacedSamples, type PacedSpan, samplesWithin } from './pacedSamples.js'
import { rateChangesAlike, rateResiduals } from './rateResiduals.js'

/**
 * By how much the pace comes later in the log than the power that made it, s: a counter that is read less often, a mean over the last
 * seconds. Below 0 the power comes later. At a step of the power such a lag would pair the pace of one level with the power of another.
 *
 * Where the work starts from nothing, the pace's own start against the power's tells it. Else it is the lag at which changes of pace and power are
 * most alike, of those with which a parabola over power leaves clearly less of the pace than without a lag; 0 where there is none, as in a log
 * whose power hardly moves.
 */
export function findRateLag(samples: PacedSamples, trace: Trace, spans: readonly PacedSpan[]): number {
  const starts = spans.flatMap((span) => lagOfStart(trace, span) ?? [])
  if (starts.length > 0) return quantile(starts, 0.5)
  const none = rateResiduals(samples, trace, 0)?.meanSquare
  if (none === undefined) return 0
  const step = Math.max(trace.intervalS, samples.stepS, LONGEST_LAG_S / MOST_TRIED)
  const alike = (lagS: number) => rateChangesAlike(samples, trace, spans, lagS)
  let best = { lagS: 0, alike: alike(0) }
  for (let k = 1; k * step <= LONGEST_LAG_S; k++) {
    for (const lagS of [k * step, -k * step]) {
      const meanSquare = rateResiduals(samples, trace, lagS)?.meanSquare ?? Number.POSITIVE_INFINITY
      if (meanSquare >= CLEARLY_LESS * none || alike(lagS) <= best.alike) continue
      best = { lagS, alike: alike(lagS) }
    }
  }
  return best.lagS
}

/** Longer than any logger averages; common practice, no source. */
const LONGEST_LAG_S = 15
const MOST_TRIED = 30
/** Noise alone never explains a tenth of the pace's scatter at another lag, in a log of a hundred samples and more. */
const CLEARLY_LESS = 0.9
/** Before the work, a pace below this share of its later level is none. */
const NOTHING = 0.2

/** When the pace passes half of its first level, after the power did; undefined where the work doesn't start from nothing in this log. */
function lagOfStart(trace: Trace, { startS, endS }: PacedSpan): number | undefined {
  const rate = trace.rate!
  const known = (fromS: number, toS: number) =>
    samplesWithin(trace, fromS, toS).filter((i) => !Number.isNaN(rate[i]!))
  const before = known(startS - 2 * LONGEST_LAG_S, startS - LONGEST_LAG_S)
  const after = known(startS + LONGEST_LAG_S, Math.min(endS, startS + 3 * LONGEST_LAG_S))
  if (before.length < 2 || after.length < 4 || climbs(trace, startS, after)) return undefined
  const level = middleOf(rate, after)
  if (middleOf(rate, before) > NOTHING * level) return undefined
  const around = known(startS - LONGEST_LAG_S, startS + LONGEST_LAG_S)
  const at = around.findIndex((i) => rate[i]! > level / 2)
  if (at < 0) return undefined
  // The sample in which the work began holds a share of its level: that much of its interval was work.
  const first = around[at]!
  const previous = first > 0 ? trace.timesS[first - 1]! : trace.timesS[first]! - trace.intervalS
  const mixed = at > 0 ? rate[around[at - 1]!]! / level : 0
  const share = Math.min(1, rate[first]! / level)
  const startedS = trace.timesS[first]! - share * (trace.timesS[first]! - previous) - mixed * trace.intervalS
  const lagS = startedS - startS
  return Math.abs(lagS) < LEAST_INTERVALS * trace.intervalS ? 0 : lagS
}

/** Whether the power goes on rising after the start: half of the pace's later level would be passed at a later step, not at the start. */
function climbs(trace: Trace, startS: number, after: readonly number[]): boolean {
  const first = samplesWithin(trace, startS + 2 * trace.intervalS, startS + LONGEST_LAG_S / 2)
  return first.length > 0 && middleOf(trace.powerW, after) > CLIMB * middleOf(trace.powerW, first)
}

/** What is left of a warming or a start; common practice, no source. */
const CLIMB = 1.2

function middleOf(values: ArrayLike<number>, places: readonly number[]): number {
  return quantile(
    places.map((i) => values[i]!),
    0.5,
  )
}

/** Starts are told to about half an interval in each column. */
const LEAST_INTERVALS = 0.75
