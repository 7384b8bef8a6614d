import { correlationFactor, type Noise } from '../../numeric/statistics/noise.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Piece } from '../cut/fitPiece.js'
import { endPower, isRise, openingPower } from '../cut/part.js'
import { type Stretch, settledFrom } from '../cut/stretch.js'
import { type Asymptote, type AsymptoteOptions, estimateAsymptote } from './asymptote.js'
import type { Section } from './fitShape.js'
import { levelSince } from './levelSince.js'

/** Heat holds power no steadier than the air and the desk keep their temperature: 0.15 K of 100 K. Common practice, no source. */
const UNSTEADY_SHARE = 0.0015
/** Power doesn't fall to less than this share of what it was last: no chassis takes away so much more. Common practice, no source. */
const LEAST_SHARE = 0.4
/** Least prior of an amplitude: leakage grows by a few per cent of the power while a chassis warms. */
export const DRIFT_SHARE = 0.03

/** A rise is not followed further than by as much again as it has come up by: nobody knows a course that was not seen. Common practice, no source. */
const RISE_LEFT_SHARE = 1

/**
 * Where one uninterrupted fall, or rise, of the power tends to, and how fast.
 *
 * @param shownW - the most that the load was held at before: a machine that recovers gives back no more; infinite where nothing was above
 */
export function relaxationAsymptote(
  stretch: Stretch,
  noise: Noise,
  shownW = Number.POSITIVE_INFINITY,
): Asymptote {
  const section = lastCourse(stretch)
  const endW = endPower(stretch.part, stretch.run.series)
  return estimateAsymptote([section], {
    ...noiseOptions(noise),
    shortestS: 2,
    longestS: 3 * section.sinceS.at(-1)!,
    amplitudeW: amplitudePrior(section, endW),
    flatShare: 0,
    unsteadyShare: UNSTEADY_SHARE,
    leastW: LEAST_SHARE * endW,
    mostW: Math.min(shownW, mostOfRise(stretch, endW)),
  })
}

/** Infinite where power does not rise. */
function mostOfRise(stretch: Stretch, endW: number): number {
  if (!isRise(stretch.part, stretch.run.series)) return Number.POSITIVE_INFINITY
  return endW + RISE_LEFT_SHARE * (endW - openingPower(stretch.part, stretch.run.series))
}

/**
 * Samples that show a stretch's last course: of a fall its last piece, for it has several time constants; of a rise all since it bends upward, or what
 * has been level for a while at its end.
 */
export function lastCourse(stretch: Stretch): Section {
  const from = isRise(stretch.part, stretch.run.series)
    ? (levelSince(stretch) ?? firstRising(stretch).from)
    : stretch.part.pieces.at(-1)!.from
  return sectionOf(stretch, Math.max(settledFrom(stretch), from))
}

/** Power at which a rise begins, W. */
export function riseStart(stretch: Stretch): number {
  const { levelW, amplitudeW } = firstRising(stretch)
  return levelW + amplitudeW
}

/** The first of the pieces at the end that don't fall, but for flat ones ahead of the bend; fans take a while to speed up. */
function firstRising({ part: { pieces } }: Stretch): Piece {
  const rising = pieces.slice(pieces.findLastIndex(({ amplitudeW }) => amplitudeW > 0) + 1)
  return rising.find(({ amplitudeW }) => amplitudeW < 0) ?? pieces.at(-1)!
}

/** Samples of a stretch from an index on; seconds count from there. Where all of them were set aside, all count. */
export function sectionOf(stretch: Stretch, from: number): Section {
  const { series } = stretch.run
  const startS = series.timesS[from]!
  const weights = series.weights.subarray(from, stretch.part.to)
  return {
    sinceS: series.timesS.subarray(from, stretch.part.to).map((timeS) => timeS - startS),
    powerW: series.powerW.subarray(from, stretch.part.to),
    weights: weights.some((weight) => weight > 0) ? weights : new Uint8Array(weights.length).fill(1),
  }
}

/** Noise as an asymptote's estimate wants it. */
export function noiseOptions(noise: Noise): Pick<AsymptoteOptions, 'noiseVariance' | 'correlationFactor'> {
  return { noiseVariance: noise.scale ** 2, correlationFactor: correlationFactor(noise.autocorrelation) }
}

/** Half as much again as the section is seen to move, and no less than a drift. */
function amplitudePrior(section: Section, endW: number): number {
  const opening = quantile(section.powerW.subarray(0, 5), 0.5)
  return Math.max(1.5 * Math.abs(opening - endW), DRIFT_SHARE * endW)
}
