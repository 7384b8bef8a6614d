import { bisectRight } from '../../numeric/bisectRight.js'
import { ESTIMATE_EDGE, ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { correlationFactor, type Noise } from '../../numeric/statistics/noise.js'
import { endPower, openingPower, type Part, partPower, SAME_SHARE } from '../cut/part.js'
import { type Stretch, settledFrom } from '../cut/stretch.js'
import type { DraftStage } from '../stages/draftStage.js'

/** Since when the course has been within 2 % of a level for good, and how far noise and the level's interval move that. */
export function settleTime(
  last: DraftStage,
  level: Estimate,
  context: { readonly noise: Noise; readonly loadStartS: number },
): { readonly fromS: number; readonly settleAfterS: Estimate } {
  const first = last.stretches[0]!
  const edgeS = first.startS
  const at = (triedW: number) => {
    // The lower end of an interval about next to nothing may lie below zero, where 2 % of it mean nothing.
    const levelW = Math.max(triedW, LEAST_LEVEL_W)
    return Math.max(approached(last, levelW), lastOutside(last, levelW, context.noise) ?? edgeS)
  }
  const fromS = at(level.value)
  // Half of what "within 2 %" asks for at the most: beyond it noise would put the whole course outside.
  const halfW = Math.min(
    Math.hypot((level.high - level.low) / 2, courseError(last, fromS, context.noise)),
    (SAME_SHARE / 2) * level.value,
  )
  const times = [at(level.value - halfW), at(level.value + halfW), fromS]
  const slackS = settleSlack(last, fromS)
  const since = (timeS: number) => Math.max(0, timeS - context.loadStartS)
  return {
    fromS,
    settleAfterS: {
      value: since(fromS),
      low: since(Math.min(...times) - slackS),
      high: since(Math.max(...times) + slackS),
      level: ESTIMATE_LEVEL,
    },
  }
}

/** Below any logger's last digit. */
const LEAST_LEVEL_W = 1e-6

/**
 * What the crossing of 2 % can be off by beside the level: the edge, the approach's time constant (known to about a seventh), where in its sample
 * the crossing fell, and for a slow fall a sixteenth of its time, since more time constants than one are at work.
 */
function settleSlack(last: DraftStage, fromS: number): number {
  const first = last.stretches[0]!
  const edge = first.edge?.startS
  const { timesS } = first.run.series
  const sampleS = (timesS.at(-1)! - timesS[0]!) / Math.max(1, timesS.length - 1)
  const approachS = fromS - first.startS
  const share = last.shape !== 'level' ? SLOW_SHARE : APPROACH_SHARE
  const errorS = Math.hypot(share * approachS, SAMPLE_SHARE * sampleS)
  return Math.hypot(edge ? (edge.high - edge.low) / 2 : 0, ESTIMATE_EDGE * errorS)
}

/** Standard errors, as shares of the time since the stage began, and of a sampling interval. */
const APPROACH_SHARE = 0.15
const SLOW_SHARE = 0.06
const SAMPLE_SHARE = 0.25

/** When a controller's approach has come within 2 %: approach time constant x ln(step / 2 %). */
function approached(last: DraftStage, levelW: number): number {
  const first = last.stretches[0]!
  const openW = openingPower(first.part, first.run.series)
  const stepW = Math.max(Math.abs((first.edge?.fromW ?? openW) - levelW), 1e-9)
  return first.startS + (first.edge?.softS ?? 0) * Math.max(0, Math.log(stepW / (SAME_SHARE * levelW)))
}

/** Half-width of the fitted course about a time, W: the samples within 30 % of the time since the stage began carry it. */
function courseError(last: DraftStage, timeS: number, noise: Noise): number {
  const { series } = last.stretches[0]!.run
  const reachS = Math.max(0.3 * (timeS - last.stretches[0]!.startS), 3)
  const near = bisectRight(series.timesS, timeS + reachS) - bisectRight(series.timesS, timeS - reachS)
  return ESTIMATE_EDGE * noise.scale * Math.sqrt(correlationFactor(noise.autocorrelation) / Math.max(1, near))
}

function lastOutside(last: DraftStage, levelW: number, noise: Noise): number | undefined {
  for (const stretch of last.stretches.toReversed()) {
    const { series } = stretch.run
    const looped = last.stretches.length > 1
    if (looped && last.shape === 'level') {
      const { meanW, errorW } = endOf(stretch, noise)
      const offW = Math.abs(meanW - levelW) - SAME_SHARE * levelW
      if (offW > 2 * errorW) return series.timesS[stretch.part.to - 1]!
      continue
    }
    // In a loop every run opens above the level; what counts is where it ends.
    const from = looped ? stretch.part.to - 1 : settledFrom(stretch)
    const at = lastInPart(from, stretch.part, (i) => {
      const powerW = partPower(stretch.part, series, series.timesS[i]!)
      return Math.abs(powerW - levelW) > SAME_SHARE * levelW
    })
    if (at !== undefined) return series.timesS[at]
  }
  return undefined
}

/** Of a run at a level its last third tells where it ends: a bend of its last piece may be noise, or its way down. */
const END_SHARE = 1 / 3

/** Mean power of the end of a run, and its standard error, W; where all samples there were set aside, the model's. */
function endOf(
  { part, run: { series } }: Stretch,
  noise: Noise,
): { readonly meanW: number; readonly errorW: number } {
  let sum = 0
  let count = 0
  for (let i = Math.floor(part.to - END_SHARE * (part.to - part.from)); i < part.to; i++) {
    sum += series.weights[i]! * series.powerW[i]!
    count += series.weights[i]!
  }
  if (count === 0) return { meanW: endPower(part, series), errorW: 0 }
  return {
    meanW: sum / count,
    errorW: noise.scale * Math.sqrt(correlationFactor(noise.autocorrelation) / count),
  }
}

/** Last sample of a part, from an index on, that lies outside of a band. A piece tends one way, so it leaves the band once, seen from its end. */
function lastInPart(from: number, part: Part, isOutside: (i: number) => boolean): number | undefined {
  let end = part.to
  for (const [k, piece] of [...part.pieces.entries()].reverse()) {
    const start = k === 0 ? from : Math.max(from, piece.from)
    if (start >= end) continue
    if (isOutside(end - 1)) return end - 1
    if (isOutside(start)) {
      let [low, high] = [start, end - 1]
      while (high - low > 1) {
        const middle = (low + high) >> 1
        if (isOutside(middle)) low = middle
        else high = middle
      }
      return low
    }
    end = start
  }
  return undefined
}
