import type { Estimate } from '../numeric/estimate.js'
import { correlationFactor, type Noise } from '../numeric/noise.js'
import { type Asymptote, estimateAsymptote, type Section } from './asymptote.js'
import type { DraftStage } from './draftStages.js'
import type { Sustained } from './load.js'
import { measureLevel } from './measureLevel.js'
import { type Stretch, settledFrom } from './stretch.js'

/** Within this share of the settled level counts as settled: the contract's 2 %. */
const SETTLED_SHARE = 0.02
/** A level has to be watched at least this long before it may count as the last one, s. */
const SHORTEST_WATCH_S = 180
/**
 * From a short-term level to the settled one: the ratio of the two.
 * Common practice, no source: thin chassis give 80 to 65 and 80 to 70 W, and some don't drop again at all.
 */
const NEXT_RATIO: Estimate = { value: 0.8, low: 0.6, high: 1, level: 0.9 }

export interface SettledStage {
  readonly sustained: Sustained
  /** The last decay's end, when the last stage is one. */
  readonly asymptote: Asymptote | null
}

/** Where the power settles, from the last stage; see `Sustained`. */
export function estimateSustained(
  drafts: readonly DraftStage[],
  noise: Noise,
  loadStartS: number,
): SettledStage {
  const last = drafts.at(-1)!
  return last.shape === 'decay'
    ? settleDecay(last, noise, loadStartS)
    : settleLevel(drafts, noise, loadStartS)
}

function settleLevel(drafts: readonly DraftStage[], noise: Noise, loadStartS: number): SettledStage {
  const last = drafts.at(-1)!
  const level = measureLevel(last.stretches, noise)
  const fromS = last.stretches[0]!.startS
  const watchedS = last.stretches.at(-1)!.endS - fromS
  const reached = watchedLongEnough(drafts, watchedS, fromS - loadStartS)
  if (!reached) {
    return {
      asymptote: null,
      sustained: { reached, levelW: scale(level, NEXT_RATIO), fromS: null, settleAfterS: null },
    }
  }
  const soft = last.stretches[0]!.edge
  const settleS = fromS - loadStartS + 3 * (soft?.softS ?? 0)
  const slackS = soft ? soft.startS.high - soft.startS.low : 0
  return {
    asymptote: null,
    sustained: {
      reached,
      levelW: level,
      fromS,
      settleAfterS: {
        value: settleS,
        low: Math.max(0, settleS - slackS),
        high: settleS + slackS,
        level: 0.9,
      },
    },
  }
}

function watchedLongEnough(drafts: readonly DraftStage[], watchedS: number, beforeS: number): boolean {
  if (drafts.length >= 3) return watchedS >= Math.max(60, 0.25 * beforeS)
  return watchedS >= Math.max(SHORTEST_WATCH_S, 1.5 * beforeS)
}

function scale(level: Estimate, ratio: Estimate): Estimate {
  return {
    value: level.value * ratio.value,
    low: level.low * ratio.low,
    high: level.high * ratio.high,
    level: 0.9,
  }
}

function settleDecay(last: DraftStage, noise: Noise, loadStartS: number): SettledStage {
  const sections = sectionsOf(last)
  const lengthS = Math.max(...sections.map((section) => section.sinceS.at(-1)! - section.sinceS[0]!))
  const variance = noise.scale ** 2 * correlationFactor(noise.autocorrelation)
  const asymptote = estimateAsymptote(sections, variance, { shortestS: 1, longestS: 3 * lengthS, leastW: 0 })
  const endS = last.stretches.at(-1)!.endS
  const level = asymptote.towardW
  const reached =
    Math.abs(asymptote.leftW) < 0.01 * level.value &&
    level.high - level.low < 0.04 * level.value &&
    lengthS > 2 * asymptote.tauS.value
  const beganS = last.stretches.at(-1)!.startS
  const settleS =
    asymptote.tauS.value *
    Math.log(Math.max(1, Math.abs(asymptote.amplitudeW) / (SETTLED_SHARE * level.value)))
  const after = beganS - loadStartS + settleS
  return {
    asymptote,
    sustained: {
      reached,
      levelW: level,
      fromS: reached ? Math.min(beganS + settleS, endS) : null,
      settleAfterS: reached
        ? { value: after, low: after - settleS * 0.3, high: after + settleS * 0.3, level: 0.9 }
        : null,
    },
  }
}

/** Last runs of a looped load, or the last piece of an uninterrupted one. */
function sectionsOf(last: DraftStage): readonly Section[] {
  return last.stretches.slice(-3).map((stretch) => sectionOf(stretch))
}

function sectionOf(stretch: Stretch): Section {
  const { series } = stretch.run
  const from = Math.max(settledFrom(stretch), stretch.part.pieces.at(-1)!.from)
  const startS = series.timesS[from]!
  return {
    sinceS: series.timesS.slice(from, stretch.part.to).map((timeS) => timeS - startS),
    powerW: series.powerW.slice(from, stretch.part.to),
    weights: series.weights.slice(from, stretch.part.to),
  }
}
