import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'

/** A stretch of work, s. */
interface FallSpan {
  readonly startS: number
  readonly endS: number
}

/** How runs that open above their end give way, and how warm they are meanwhile; medians over the runs. */
export interface RunFalls {
  /** Time from half to nine tenths of the fall, s: 1.6 time constants of a relaxation. */
  readonly paceS: number
  /** Time from a run's beginning to half of its fall, s. */
  readonly halfS: number
  /** Fall as a share of the power at the end. */
  readonly fallShare: number
  /** Temperature over the second half of the runs, and how far it spreads there (10 to 90 %). */
  readonly temperatureC: number
  readonly spreadK: number
  /** By how much the temperature falls with the power, K. */
  readonly coolingK: number
}

/**
 * Whether heat, not a budget, takes power away within the runs of a loop; undefined when too few runs fall to tell.
 *
 * Both let a run after a pause open with a burst again. A budget holds that burst and ends it with a controller's pace, 1 to 2 s, and
 * the chip cools by what the watts are worth. Under heat power gives way from the beginning, often over many seconds, and temperature
 * stays where it is pinned.
 *
 * @param runs - the runs of the stage in question
 */
export function fallsUnderHeat(trace: Trace, runs: readonly FallSpan[]): RunFalls | undefined {
  if (trace.temperatureC === null) return undefined
  const falls = runs.flatMap((run) => fallOf(trace, run) ?? [])
  if (falls.length < Math.max(2, runs.length / 2)) return undefined
  const warm = runs.flatMap((run) =>
    temperatures(trace, { startS: (run.startS + run.endS) / 2, endS: run.endS }),
  )
  if (warm.length < 5) return undefined
  const median = (read: (fall: RunFall) => number) => quantile(falls.map(read), 0.5)
  const usual = {
    paceS: median((fall) => fall.paceS),
    halfS: median((fall) => fall.halfS),
    fallShare: median((fall) => fall.share),
    temperatureC: quantile(warm, 0.5),
    spreadK: quantile(warm, 0.9) - quantile(warm, 0.1),
    coolingK: median((fall) => fall.coolingK),
  }
  return usual.spreadK <= PINNED_SPREAD_K && (isSlow(usual, trace) || isPinned(usual, trace))
    ? usual
    : undefined
}

/** Slower than any controller. */
function isSlow({ paceS }: RunFalls, trace: Trace): boolean {
  return paceS > Math.max(SLOWEST_CONTROLLER_S, 4 * trace.intervalS)
}

/** Gives way from the beginning, without a level that is held first, and the chip hardly cools. */
function isPinned({ paceS, halfS, fallShare, temperatureC, coolingK }: RunFalls, trace: Trace): boolean {
  const atOnce = paceS > Math.max(SHORTEST_PACE_S, 2 * trace.intervalS) && halfS < LATEST_HALF * paceS
  const coldestC = coldest(trace)
  return atOnce && coolingK < PINNED_SHARE * fallShare * (temperatureC - coldestC)
}

/** 1.6 times the 2 to 4 s with which power controllers close in on a limit, and a margin; common practice, no source. */
const SLOWEST_CONTROLLER_S = 8
/** A fall as quick as this is a controller's, whatever the temperature does; common practice, no source. */
const SHORTEST_PACE_S = 2.4
/** A relaxation from the beginning on has half of its fall behind it after 0.43 of its pace; a level that is held first comes on top. */
const LATEST_HALF = 1.3
/**
 * Cooling as a share of what it would be if the whole rise went with the power: under a limit that is what the chip's own resistance is of
 * the whole. In generated loops about four of five under heat lie below and four of five under limits above: it decides nothing without `LATEST_HALF`.
 */
const PINNED_SHARE = 0.2
/** A ceiling is held to a kelvin or two, and sensors show whole degrees; common practice, no source. */
const PINNED_SPREAD_K = 4
/** Falls below this share of the run's end are noise or drift. */
const LEAST_FALL = 0.08

type RunFall = { readonly [K in 'paceS' | 'halfS' | 'share' | 'coolingK']: number }

/** How a run falls; undefined when it doesn't, or not within its first two thirds. */
function fallOf(trace: Trace, run: FallSpan): RunFall | undefined {
  const inside = indicesWithin(trace, {
    startS: run.startS + trace.intervalS,
    endS: run.endS - trace.intervalS,
  })
  if (inside.length < 9) return undefined
  const powers = inside.map((i) => trace.powerW[i]!)
  const third = Math.ceil(powers.length / 3)
  const endW = quantile(powers.slice(-third), 0.5)
  const openW = Math.max(...powers.slice(0, 4))
  if (openW < endW * (1 + LEAST_FALL)) return undefined
  const halfway = lastAbove(powers, (openW + endW) / 2)
  const nearly = lastAbove(powers, endW + 0.1 * (openW - endW))
  if (nearly > (2 / 3) * powers.length) return undefined
  const timeOf = (k: number) => trace.timesS[inside[k]!]!
  const celsius = inside.map((i) => trace.temperatureC![i]!)
  const opening = celsius.slice(0, Math.ceil(celsius.length / 2)).filter(Number.isFinite)
  const end = celsius.slice(-third).filter(Number.isFinite)
  if (opening.length === 0 || end.length === 0) return undefined
  return {
    paceS: timeOf(nearly) - timeOf(halfway),
    halfS: timeOf(halfway) - run.startS,
    share: openW / endW - 1,
    // As a fold: a run of hours holds more samples than a call may have arguments.
    coolingK: opening.reduce((most, value) => Math.max(most, value)) - quantile(end, 0.5),
  }
}

/** The coldest samples of a log: 1 in 200, so that a slip of the sensor is no temperature of the room. */
function coldest({ temperatureC }: Trace): number {
  return quantile(temperatureC!.filter(Number.isFinite), 0.005)
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

function temperatures(trace: Trace, span: FallSpan): number[] {
  return indicesWithin(trace, span)
    .map((i) => trace.temperatureC![i]!)
    .filter(Number.isFinite)
}

function indicesWithin({ timesS }: Trace, span: FallSpan): number[] {
  const found: number[] = []
  timesS.forEach((timeS, i) => {
    if (timeS > span.startS && timeS <= span.endS) found.push(i)
  })
  return found
}
