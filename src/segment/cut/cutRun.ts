import { quickselect } from '../../numeric/quickselect.js'
import { MAD_TO_DEVIATION } from '../../numeric/statistics/medianAbsoluteDeviation.js'
import { correlationFactor, lagOneCorrelation, type Noise } from '../../numeric/statistics/noise.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { thin } from '../../numeric/thin.js'
import { type CutDetail, FULL_DETAIL, findCandidates, ROUGH_DETAIL } from './findCandidates.js'
import { findExcursions } from './findExcursions.js'
import { findSpikes } from './findSpikes.js'
import { fitPiece, type Piece, type Series } from './fitPiece.js'
import { joinPieces } from './joinPieces.js'
import { joinSwing } from './joinSwing.js'
import { type Part, piecePower } from './part.js'
import { polishPieces } from './polishPieces.js'
import { sampleSums } from './sampleSums.js'
import { searchPieces } from './searchPieces.js'

/** An uninterrupted stretch, cut into pieces. */
export interface CutPieces {
  readonly series: Series
  readonly pieces: readonly Piece[]
}

/** An uninterrupted stretch, cut into parts. */
export interface CutRun extends CutPieces {
  readonly parts: readonly Part[]
}

export interface RunEnds {
  /** The run begins, or ends, at a pause, so that the sample there may average over the edge. */
  readonly opens: boolean
  readonly closes: boolean
}

/** The samples of one uninterrupted stretch with spikes and half-filled end samples set aside. */
export function cleanRun(
  timesS: Float64Array,
  powerW: Float64Array,
  { noise, ends, averaged }: { readonly noise: Noise; readonly ends: RunEnds; readonly averaged: boolean },
): Series {
  const weights = new Uint8Array(powerW.length).fill(1)
  for (const spike of findSpikes(powerW, noise.scale, averaged)) weights[spike] = 0
  for (const moment of findExcursions(timesS, powerW, noise.scale)) weights[moment] = 0
  const n = powerW.length
  if (n >= 5) {
    if (isPartial(powerW[0]!, powerW.subarray(1, 4), noise.scale, averaged)) weights[0] = 0
    if (isPartial(powerW[n - 1]!, powerW.subarray(n - 4, n - 1), noise.scale, averaged)) weights[n - 1] = 0
  }
  return { timesS, powerW, weights, averaged, closes: ends.closes }
}

/** Noise scales, and a share of the power, by which an instant may miss its neighbours. */
const INSTANT = { scales: 6, share: 0.05 }

/** The first or last sample averages over the edge of the load, or was taken while power came or went: it lies below its neighbours. */
function isPartial(endW: number, neighboursW: Float64Array, noiseScale: number, averaged: boolean): boolean {
  const near = quantile(neighboursW, 0.5)
  const slackW = averaged ? 1.5 * noiseScale : Math.max(INSTANT.scales * noiseScale, INSTANT.share * near)
  return endW < near - slackW
}

/** Cuts a stretch into parts, given its noise. */
export function cutRun(series: Series, noise: Noise, first: boolean): CutRun {
  const pieces = cutPieces(series, noise, { first, detail: FULL_DETAIL })
  return { series, pieces, parts: joinSwing(joinPieces(pieces, series, noise.scale), series) }
}

/**
 * A stretch whose power comes and goes faster than its samples follow, as one piece: every one of them counts towards its mean but for
 * the first and the last, which are at work by the choice of the stretch.
 */
export function wholeRun({ series }: CutRun): CutRun {
  const weights = new Uint8Array(series.weights.length).fill(1)
  if (weights.length > 2) weights[0] = weights[weights.length - 1] = 0
  const every = { ...series, weights }
  const piece = fitPiece(every, 0, every.timesS.length, Number.POSITIVE_INFINITY)
  const pieces = [piece]
  return { series: every, pieces, parts: [{ from: 0, to: every.timesS.length, pieces, softS: 0 }] }
}

/** The pieces of a stretch, cut as closely as its noise has to be told. */
export function cutRoughly(series: Series, noise: Noise, first: boolean): CutPieces {
  return { series, pieces: cutPieces(series, noise, { first, detail: ROUGH_DETAIL }) }
}

function cutPieces(
  series: Series,
  noise: Noise,
  { first, detail }: { readonly first: boolean; readonly detail: CutDetail },
): readonly Piece[] {
  const n = series.timesS.length
  const sums = sampleSums(series)
  const unit = noise.scale ** 2 * correlationFactor(noise.autocorrelation) * Math.log(Math.max(n, 10))
  const options = {
    candidates: findCandidates(sums, noise.scale, detail),
    tauFactor: detail.tauFactor,
    polishSteps: detail.polishSteps,
    // Modified BIC: 3 ln n for the place and the new level, 2 ln n more for amplitude and time constant.
    changePenalty: 3 * unit,
    bendPenalty: 2 * unit,
    skipPenalty: unit,
    minLength: 2,
    noFastFallAtStart: first,
  }
  return polishPieces(searchPieces(series, options, sums), series, options)
}

/** So many residuals tell their noise to a third of a per cent, and half as many their median. */
const MOST_RESIDUALS = 2 ** 17
const ENOUGH = 2 ** 16
/** Neighbours stay together in blocks of so many samples, for they tell the correlation. */
const BLOCK = 1024

/** Noise of the residuals about the pieces: what the search left over. */
export function residualNoise(
  runs: readonly CutPieces[],
  bounds: { readonly least: number; readonly most: number },
): Noise {
  const residuals = residualsOf(runs)
  if (residuals.length < 8) return { scale: bounds.least, autocorrelation: 0 }
  const sizes = thin(residuals, ENOUGH).map(Math.abs)
  const median = quickselect(sizes, Math.floor(sizes.length / 2))
  const robust = Math.max(MAD_TO_DEVIATION * median, bounds.least)
  const scale = Math.min(bounds.most, Math.max(bounds.least, clippedScale(residuals, robust)))
  return { scale, autocorrelation: carefulCorrelation(lagOneCorrelation(residuals, scale), residuals.length) }
}

/** One standard error above the estimate where there is correlation at all: what the pieces took up is missing from it. */
function carefulCorrelation(estimate: number, count: number): number {
  const error = Math.sqrt((1 - estimate * estimate) / count)
  const careful = estimate > 2 * error ? estimate + error : estimate
  return Math.max(0, Math.min(0.85, careful))
}

/** What the pieces leave of the samples that count, run after run; of very many, blocks of them spread evenly. */
function residualsOf(runs: readonly CutPieces[]): Float64Array {
  const samples = runs.reduce((sum, run) => sum + run.series.powerW.length, 0)
  const every = Math.ceil(samples / MOST_RESIDUALS)
  const residuals = new Float64Array(every === 1 ? samples : MOST_RESIDUALS + runs.length * BLOCK)
  let count = 0
  for (const { series, pieces } of runs) {
    for (const piece of pieces) {
      for (let i = piece.from; i < piece.to; i++) {
        const block = Math.floor(i / BLOCK)
        if (block % every !== 0) i = (block + 1) * BLOCK - 1
        else if (series.weights[i] !== 0)
          residuals[count++] = series.powerW[i]! - piecePower(piece, series, series.timesS[i]!)
      }
    }
  }
  return residuals.subarray(0, count)
}

function clippedScale(residuals: Float64Array, robust: number): number {
  let sum = 0
  for (const residual of residuals) sum += Math.min(residual * residual, 16 * robust * robust)
  return Math.sqrt(sum / residuals.length)
}
