import {
  atLeastZero,
  ESTIMATE_EDGE,
  ESTIMATE_LEVEL,
  type Estimate,
} from '../../numeric/statistics/estimate.js'
import { correlationFactor, type Noise } from '../../numeric/statistics/noise.js'
import { endPower, openingPower, partPower } from '../cut/part.js'
import type { Stretch } from '../cut/stretch.js'
import type { HoldLabel, Sustained } from '../load.js'
import type { DraftStage } from '../stages/draftStage.js'
import { shownBefore } from '../stages/draftStages.js'
import type { LoadNoise } from '../stages/measureLevel.js'
import { roundingBias } from '../stages/quantization.js'
import { type Asymptote, estimateAsymptote } from './asymptote.js'
import { isSteadyLate, withLateCourse } from './lateCourse.js'
import { levelSection } from './levelSection.js'
import { DRIFT_SHARE, lastCourse, noiseOptions, relaxationAsymptote } from './relaxationAsymptote.js'
import { settleTime } from './settleTime.js'
import { lowestAfterFall, tooShort } from './tooShort.js'
import { unfinishedRise } from './unfinishedRise.js'
import { watchedLongEnough } from './watchedLongEnough.js'

/** A fall that heat makes has to be watched at least this long: chassis have time constants of minutes beside the fast ones, s. */
const SHORTEST_FALL_S = 150
/** Fall within the last third of the watched fall that may still be the end of it, as a share of the power. */
const LAST_THIRD_SHARE = 0.015
/** What a slow component that an unfinished fall doesn't show yet takes away further, as a share of the fall so far: mean and deviation. */
const UNSEEN_FALL_SHARE = 0.12
/** Prior probability that a level doesn't drift: demand mostly does while a chassis warms, a set limit is held by a controller. */
const DEMAND_FLAT_SHARE = 0.25
const LIMIT_FLAT_SHARE = 0.6
/** Demand follows the warmth of the whole chassis, whose slowest part has a large share of it. */
const WARMING_SLOW_SHARES = [0, 0.3, 1]
/** Prior of a relaxation's amplitude: half of the power. */
const FALL_SHARE = 0.5
/** A task that asks for less than this share of what the log shows to be held meets no limit on its way. Common practice, no source. */
const MEETS_NO_LIMIT_SHARE = 0.9

/** Half-width of a 90 % interval in standard errors: what is decided doesn't hang on the level that is printed. */
const HALF_OF_90 = 1.645

/** Half-width (at 90 %) of a loop's settled level for what pauses and overshoot do to it: from simulated loops (tests/study/coverage.md). */
const LOOP_SHARE = 0.02

export interface SettledStage {
  readonly sustained: Sustained
  readonly asymptote: Asymptote
}

export interface SettleContext {
  readonly loadStartS: number
  /** What other columns prove to hold the last stage; null where they prove nothing. */
  readonly proven: HoldLabel | null
  /** The most power that any load of the log was held at, W. */
  readonly heldW: number
  /** The task asks for less and less: it may stop doing so as the load ends. */
  readonly fallsSteadily: boolean
}

/** Where the power settles, from the last stage; see `Sustained`. */
export function estimateSustained(
  drafts: readonly DraftStage[],
  noise: LoadNoise,
  context: SettleContext,
): SettledStage {
  const { loadStartS } = context
  const { asymptote, sustained: fitted } = settleLast(drafts, noise, context)
  const sustained = withLateCourse(fitted, drafts, noise, loadStartS)
  const biasW = roundingBias(noise.gridW ?? 0, noise.scale ** 2)
  return { asymptote, sustained: { ...sustained, levelW: atLeastZero(widened(sustained.levelW, biasW)) } }
}

/** A level that may be off by a further standard error as a whole. */
function widened(level: Estimate, errorW: number): Estimate {
  const edge = (side: number) => Math.hypot(side, ESTIMATE_EDGE * errorW)
  return {
    ...level,
    low: level.value - edge(level.value - level.low),
    high: level.value + edge(level.high - level.value),
  }
}

function settleLast(drafts: readonly DraftStage[], noise: LoadNoise, context: SettleContext): SettledStage {
  const { loadStartS } = context
  const last = drafts.at(-1)!
  const looped = last.stretches.at(-1)!.runIndex > 0
  if (last.shape !== 'level')
    return looped ? settleLoop(last, noise, loadStartS) : settleRelaxation(drafts, noise, context)
  return settleLevel(drafts, noise, context)
}

function settleLevel(
  drafts: readonly DraftStage[],
  noise: LoadNoise,
  { loadStartS, proven, heldW }: SettleContext,
): SettledStage {
  const last = drafts.at(-1)!
  const section = levelSection(last)
  const fromS = last.stretches[0]!.startS
  const watchedS = last.stretches.at(-1)!.endS - fromS
  const typicalW = endPower(last.stretches.at(-1)!.part, last.stretches.at(-1)!.run.series)
  const asymptote = estimateAsymptote([section], {
    ...noiseOptions(noise),
    shortestS: Math.min(20, watchedS / 4),
    longestS: watchedS,
    amplitudeW: DRIFT_SHARE * typicalW,
    flatShare: drafts.length === 1 ? DEMAND_FLAT_SHARE : LIMIT_FLAT_SHARE,
    ...(drafts.length === 1 ? { slowShares: WARMING_SLOW_SHARES } : {}),
  })
  const reached = watchedLongEnough(drafts, {
    watchedS,
    beforeS: fromS - loadStartS,
    isProven: proven !== null,
  })
  if (!reached) {
    const levelW = tooShort(drafts, asymptote.towardW, {
      lengthS: fromS + watchedS - loadStartS,
      wellBelow: proven === 'demand' && typicalW < MEETS_NO_LIMIT_SHARE * heldW,
    })
    const bounds = { floorW: levelW.low, ceilingW: levelW.high }
    return { asymptote, sustained: { reached, levelW, fromS: null, settleAfterS: null, bounds } }
  }
  const settle = settleTime(last, asymptote.towardW, { noise, loadStartS })
  return { asymptote, sustained: { reached, levelW: asymptote.towardW, ...settle, bounds: null } }
}

function settleRelaxation(
  drafts: readonly DraftStage[],
  noise: LoadNoise,
  { loadStartS, heldW, fallsSteadily }: SettleContext,
): SettledStage {
  const last = drafts.at(-1)!
  const stretch = last.stretches[0]!
  const lengthS = lastCourse(stretch).sinceS.at(-1)!
  const endW = endPower(stretch.part, stretch.run.series)
  const asymptote = relaxationAsymptote(stretch, noise, shownBefore(drafts, drafts.length - 1))
  const level = asymptote.towardW
  const halfW = (HALF_OF_90 * (level.high - level.low)) / (2 * ESTIMATE_EDGE)
  const near = Math.abs(endW - level.value) < 0.015 * level.value + 0.5 * halfW
  // A fall is over when three time constants have passed; the interval says the same when there is no telling one constant.
  const precise = lengthS > 3 * asymptote.tauS.value ? halfW < 0.05 * level.value : halfW < 0.02 * level.value
  const reached =
    last.shape === 'rise' ? isSteadyLate(last, noise, loadStartS) : near && precise && isOver(stretch, noise)
  if (!reached) {
    const levelW =
      last.shape === 'rise'
        ? unfinishedRise(level, endW, heldW)
        : withUnseenFall(level, stretch, { tauS: asymptote.tauS.value, noise, loadStartS, fallsSteadily })
    return { asymptote, sustained: { reached, levelW, fromS: null, settleAfterS: null, bounds: null } }
  }
  return {
    asymptote,
    sustained: { reached, levelW: level, ...settleTime(last, level, { noise, loadStartS }), bounds: null },
  }
}

/** Watched for minutes, and flat over the last third of that. */
function isOver(stretch: Stretch, noise: LoadNoise): boolean {
  const watchedS = stretch.endS - stretch.startS
  if (watchedS < SHORTEST_FALL_S) return false
  const { series } = stretch.run
  const endW = endPower(stretch.part, series)
  const fallW = partPower(stretch.part, series, stretch.endS - watchedS / 3) - endW
  return Math.abs(fallW) < LAST_THIRD_SHARE * endW + 2 * Math.SQRT2 * thirdError(stretch, noise)
}

/** Standard error of the mean of a third of a stretch's samples, W. */
function thirdError({ part }: Stretch, { scale, autocorrelation }: Noise): number {
  return scale * Math.sqrt(correlationFactor(autocorrelation) / Math.max(1, (part.to - part.from) / 3))
}

/** How far off the rest of a fall may be that is told from a first part of it, in standard errors: it may have a faster or a slower part. Common practice, no source. */
const REST_ERROR_SHARE = 0.2

/** The level of a fall that has not ended, with what a slow component may still take, and another limit. */
function withUnseenFall(
  level: Estimate,
  stretch: Stretch,
  {
    tauS,
    noise,
    loadStartS,
    fallsSteadily,
  }: Omit<SettleContext, 'proven' | 'heldW'> & { readonly tauS: number; readonly noise: Noise },
): Estimate {
  const { series } = stretch.run
  const endW = endPower(stretch.part, series)
  const fallW = Math.max(0, (stretch.edge?.fromW ?? openingPower(stretch.part, series)) - endW)
  const unseenW = UNSEEN_FALL_SHARE * fallW * Math.exp(-(stretch.endS - stretch.startS) / (3 * tauS))
  const restW = REST_ERROR_SHARE * Math.max(0, endW - level.value)
  const half = Math.hypot((level.high - level.low) / 2, ESTIMATE_EDGE * unseenW, ESTIMATE_EDGE * restW)
  const value = Math.max(0, level.value - unseenW)
  // Where a fall stands at its end is known no better than the samples of its last third tell.
  const mostW = Math.max(endW, value) + ESTIMATE_EDGE * thirdError(stretch, noise)
  return {
    value,
    low: Math.max(0, (value - half) * lowestAfterFall(stretch.endS - loadStartS)),
    high: fallsSteadily ? mostW : Math.min(value + half, mostW),
    level: ESTIMATE_LEVEL,
  }
}

/** A loop that heat holds: every run relaxes anew to a level that itself sinks from run to run until the chassis is warm. */
function settleLoop(last: DraftStage, noise: LoadNoise, loadStartS: number): SettledStage {
  const sections = last.stretches.slice(-3).map(lastCourse)
  const lengthS = Math.max(...sections.map((section) => section.sinceS.at(-1)!))
  const ends = last.stretches.map((stretch) => endPower(stretch.part, stretch.run.series))
  const endW = ends.at(-1)!
  const asymptote = estimateAsymptote(sections, {
    ...noiseOptions(noise),
    shortestS: 2,
    longestS: lengthS,
    amplitudeW: FALL_SHARE * endW,
    flatShare: 0,
  })
  const levelW = betweenEndAndAsymptote(asymptote.towardW, endW)
  const before = ends.at(-3) ?? ends[0]!
  const reached = ends.length >= 3 && Math.abs(before - endW) < 0.015 * endW
  const settled = reached
    ? settleTime(last, { value: endW, low: endW, high: endW, level: ESTIMATE_LEVEL }, { noise, loadStartS })
    : null
  return {
    asymptote,
    sustained: {
      reached,
      levelW,
      fromS: settled?.fromS ?? null,
      settleAfterS: settled?.settleAfterS ?? null,
      bounds: null,
    },
  }
}

/**
 * A run of a loop ends above what it tends to, while its pauses cool the chassis so that it tends too high, and a controller
 * that overshoots makes it end too low: the truth lies about the run's end and its asymptote, by `LOOP_SHARE` either way.
 */
function betweenEndAndAsymptote(towardW: Estimate, endW: number): Estimate {
  const value = 0.5 * (towardW.value + endW)
  const half = Math.hypot(
    (towardW.high - towardW.low) / 2,
    0.5 * (towardW.value - endW),
    (LOOP_SHARE * endW * ESTIMATE_EDGE) / HALF_OF_90,
  )
  return { value, low: value - half, high: value + half, level: ESTIMATE_LEVEL }
}
