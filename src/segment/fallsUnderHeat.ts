import type { Trace } from '../log/trace.js'
import { quantile } from '../numeric/quantile.js'

/** A stretch of work, s. */
interface Span {
  readonly startS: number
  readonly endS: number
}

/** How runs that open above their end give way, and how warm they are meanwhile. */
export interface RunFalls {
  /** Median time from half to nine tenths of the fall, s: 1.6 time constants of a relaxation. */
  readonly paceS: number
  /** Median temperature over the second half of the runs, and how far it spreads there (10 to 90 %). */
  readonly temperatureC: number
  readonly spreadK: number
}

/**
 * Whether heat, not a budget, takes power away within the runs of a loop; undefined when too few runs fall to tell.
 *
 * Both let a run after a pause open with a burst again. A budget ends it with a controller's pace, 1 to 2 s; under heat power
 * follows the chassis as it warms, over many seconds, with temperature pinned.
 *
 * @param runs - the runs of the stage in question
 */
export function fallsUnderHeat(trace: Trace, runs: readonly Span[]): RunFalls | undefined {
  if (trace.temperatureC === null) return undefined
  const paces = runs.flatMap((run) => paceOf(trace, run) ?? [])
  if (paces.length < Math.max(2, runs.length / 2)) return undefined
  const warm = runs.flatMap((run) =>
    temperatures(trace, { startS: (run.startS + run.endS) / 2, endS: run.endS }),
  )
  if (warm.length < 5) return undefined
  const falls = {
    paceS: quantile(paces, 0.5),
    temperatureC: quantile(warm, 0.5),
    spreadK: quantile(warm, 0.9) - quantile(warm, 0.1),
  }
  return falls.paceS > Math.max(SLOWEST_CONTROLLER_S, 4 * trace.intervalS) && falls.spreadK <= PINNED_SPREAD_K
    ? falls
    : undefined
}

/** 1.6 times the 2 to 4 s with which power controllers close in on a limit, and a margin; common practice, no source. */
const SLOWEST_CONTROLLER_S = 8
/** A ceiling is held to a kelvin or two, and sensors show whole degrees; common practice, no source. */
const PINNED_SPREAD_K = 4
/** Falls below this share of the run's end are noise or drift. */
const LEAST_FALL = 0.08

/** Seconds from half to nine tenths of a run's fall; undefined when it doesn't fall, or not within its first two thirds. */
function paceOf(trace: Trace, run: Span): number | undefined {
  const inside = indicesWithin(trace, {
    startS: run.startS + trace.intervalS,
    endS: run.endS - trace.intervalS,
  })
  if (inside.length < 9) return undefined
  const powers = inside.map((i) => trace.powerW[i]!)
  const endW = quantile(powers.slice(-Math.ceil(powers.length / 3)), 0.5)
  const openW = Math.max(...powers.slice(0, 4))
  if (openW < endW * (1 + LEAST_FALL)) return undefined
  const halfway = lastAbove(powers, (openW + endW) / 2)
  const nearly = lastAbove(powers, endW + 0.1 * (openW - endW))
  if (nearly > (2 / 3) * powers.length) return undefined
  return trace.timesS[inside[nearly]!]! - trace.timesS[inside[halfway]!]!
}

/** Index of the last power of the fall above a level: noise later in the run may touch it again, so the fall ends at two below. */
function lastAbove(powers: readonly number[], levelW: number): number {
  let last = 0
  for (let i = 0; i < powers.length; i++) {
    if (powers[i]! > levelW) last = i
    else if (i - last >= 2) break
  }
  return last
}

function temperatures(trace: Trace, span: Span): number[] {
  return indicesWithin(trace, span)
    .map((i) => trace.temperatureC![i]!)
    .filter(Number.isFinite)
}

function indicesWithin({ timesS }: Trace, span: Span): number[] {
  const found: number[] = []
  timesS.forEach((timeS, i) => {
    if (timeS > span.startS && timeS <= span.endS) found.push(i)
  })
  return found
}
