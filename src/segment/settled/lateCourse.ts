import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { correlationFactor, type Noise } from '../../numeric/statistics/noise.js'
import type { Sustained } from '../load.js'
import type { DraftStage } from '../stages/draftStage.js'

/** The contract's window under heat: 90 s and a quarter of the load, and how steady power has to be in it. */
const WINDOW_S = 90
const WINDOW_SHARE = 0.25
const STEADY_SHARE = 0.01
/** Blocks of the window: enough to see a bend, few enough to be quiet. */
const BLOCKS = 6
/** What is still to come of a course that moves, as shares of what it moved in the window: a relaxation as long as the window has 0.6. */
const TO_COME = { value: 0.5, most: 1.5 }
/** A settled level may lie so far outside of its late samples, as a share: what the interval of a mean carries. */
const OUTSIDE_SHARE = 0.003

/**
 * Holds a settled level against the load's own late samples: power that gave way and still moves has not settled, and a level lies within
 * what the late samples allow.
 */
export function withLateCourse(
  sustained: Sustained,
  drafts: readonly DraftStage[],
  noise: Noise,
  loadStartS: number,
): Sustained {
  if (!sustained.reached) return sustained
  const { means, errorW } = lateBlocks(drafts.at(-1)!, noise, loadStartS)
  if (means.length < 2) return sustained
  const [least, most] = [Math.min(...means), Math.max(...means)]
  const relaxed = drafts.some(({ shape }) => shape !== 'level')
  if (relaxed && !isSteady({ means, errorW }) && !isLooped(drafts)) {
    return { reached: false, levelW: stillMoving(means), fromS: null, settleAfterS: null, bounds: null }
  }
  const slackW = OUTSIDE_SHARE * most + errorW
  return { ...sustained, levelW: clamped(sustained.levelW, { least, most, slackW }) }
}

/** Whether a load's last stage has filled the window, and power was steady in it. */
export function isSteadyLate(last: DraftStage, noise: Noise, loadStartS: number): boolean {
  const { startS, endS } = last.stretches.at(-1)!
  if (endS - startS < WINDOW_S) return false
  return isSteady(lateBlocks(last, noise, loadStartS))
}

function isSteady({ means, errorW }: LateBlocks): boolean {
  const [least, most] = [Math.min(...means), Math.max(...means)]
  return (most - least) / 2 <= STEADY_SHARE * most + 2 * errorW
}

function isLooped(drafts: readonly DraftStage[]): boolean {
  return drafts.at(-1)!.stretches.at(-1)!.runIndex > 0
}

/** Mean powers of the window's blocks, and the standard error of one, W. */
interface LateBlocks {
  readonly means: readonly number[]
  readonly errorW: number
}

function lateBlocks({ stretches }: DraftStage, noise: Noise, loadStartS: number): LateBlocks {
  const { part, run } = stretches.at(-1)!
  const { timesS, powerW, weights } = run.series
  const endS = timesS[part.to - 1]!
  const fromS = Math.max(
    timesS[run.parts[0]!.from]!,
    endS - Math.max(WINDOW_S, WINDOW_SHARE * (endS - loadStartS)),
  )
  const sums = Array.from({ length: BLOCKS }, () => ({ joules: 0, count: 0 }))
  for (let i = part.to - 1; i >= 0 && timesS[i]! > fromS; i--) {
    if (weights[i] === 0) continue
    const block = sums[Math.min(BLOCKS - 1, Math.floor((BLOCKS * (timesS[i]! - fromS)) / (endS - fromS)))]!
    block.joules += powerW[i]!
    block.count++
  }
  const full = sums.filter(({ count }) => count > 0)
  const least = Math.min(...full.map(({ count }) => count))
  return {
    means: full.map(({ joules, count }) => joules / count),
    errorW: noise.scale * Math.sqrt(correlationFactor(noise.autocorrelation) / Math.max(1, least)),
  }
}

function stillMoving(means: readonly number[]): Estimate {
  const endW = means.at(-1)!
  const movedW = endW - means[0]!
  const ends = [endW, endW + TO_COME.most * movedW]
  const slackW = STEADY_SHARE * endW
  return {
    value: Math.max(0, endW + TO_COME.value * movedW),
    low: Math.max(0, Math.min(...ends) - slackW),
    high: Math.max(...ends) + slackW,
    level: ESTIMATE_LEVEL,
  }
}

/** A level that the late samples don't allow goes to their edge; what they show themselves then lies inside the interval. */
function clamped(
  level: Estimate,
  { least, most, slackW }: { readonly least: number; readonly most: number; readonly slackW: number },
): Estimate {
  if (level.value > most + slackW)
    return { ...level, value: most + slackW, low: Math.min(level.low, most - slackW) }
  if (level.value < least - slackW)
    return { ...level, value: least - slackW, high: Math.max(level.high, least + slackW) }
  return level
}
