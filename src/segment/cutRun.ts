import { correlationFactor, estimateNoise, lagOneCorrelation, type Noise } from '../numeric/noise.js'
import { findCandidates } from './findCandidates.js'
import { findSpikes } from './findSpikes.js'
import { joinPieces } from './joinPieces.js'
import { type Part, piecePower } from './part.js'
import { type Piece, type Series, searchPieces } from './searchPieces.js'

/** An uninterrupted stretch, cut into parts. */
export interface CutRun {
  readonly series: Series
  readonly parts: readonly Part[]
  readonly pieces: readonly Piece[]
}

/** The samples of one uninterrupted stretch with spikes and half-filled end samples set aside. */
export function cleanRun(timesS: Float64Array, powerW: Float64Array, noiseScale: number): Series {
  const spikes = findSpikes(powerW, noiseScale)
  const weights = Float64Array.from(spikes, (spike) => (spike === 1 ? 0 : 1))
  const n = powerW.length
  if (n >= 5) {
    if (isPartial(powerW[0]!, [powerW[1]!, powerW[2]!, powerW[3]!], noiseScale)) weights[0] = 0
    if (isPartial(powerW[n - 1]!, [powerW[n - 2]!, powerW[n - 3]!, powerW[n - 4]!], noiseScale))
      weights[n - 1] = 0
  }
  return { timesS, powerW, weights }
}

/** The first or last sample averages over the edge of the load: it lies below its neighbours. */
function isPartial(endW: number, neighboursW: readonly number[], noiseScale: number): boolean {
  const near = neighboursW.toSorted((a, b) => a - b)[1]!
  return endW < near - 4 * noiseScale && endW < 0.985 * near
}

/** Cuts a stretch into parts, given its noise. */
export function cutRun(series: Series, noise: Noise, first: boolean): CutRun {
  const n = series.timesS.length
  const unit = noise.scale ** 2 * correlationFactor(noise.autocorrelation) * Math.log(Math.max(n, 10))
  const pieces = searchPieces(series, {
    candidates: findCandidates(series, noise.scale),
    // Modified BIC: 3 ln n for the place and the new level, 2 ln n more for amplitude and time constant.
    changePenalty: 3 * unit,
    bendPenalty: 2 * unit,
    minLength: 2,
    noFastFallAtStart: first,
  })
  return { series, pieces, parts: joinPieces(pieces, series, noise.scale) }
}

/** Noise of the residuals about the pieces: what the search left over. */
export function residualNoise(runs: readonly CutRun[], floor: number): Noise {
  const residuals = runs.flatMap((run) => pieceResiduals(run))
  if (residuals.length < 8) return estimateNoise(residuals, floor)
  const sizes = Float64Array.from(residuals, Math.abs).sort()
  const robust = 1.4826 * sizes[Math.floor(sizes.length / 2)]!
  const scale = Math.max(floor, clippedScale(residuals, Math.max(robust, floor)))
  return { scale, autocorrelation: Math.max(0, lagOneCorrelation(residuals, scale)) }
}

function pieceResiduals(run: CutRun): readonly number[] {
  const residuals: number[] = []
  for (const piece of run.pieces) {
    for (let i = piece.from; i < piece.to; i++) {
      if (run.series.weights[i] === 0) continue
      residuals.push(run.series.powerW[i]! - piecePower(piece, run.series, run.series.timesS[i]!))
    }
  }
  return residuals
}

function clippedScale(residuals: readonly number[], robust: number): number {
  let sum = 0
  for (const residual of residuals) sum += Math.min(residual * residual, 16 * robust * robust)
  return Math.sqrt(sum / residuals.length)
}
