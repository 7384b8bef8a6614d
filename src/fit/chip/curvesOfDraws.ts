import { kroneckerPoint } from '../../numeric/statistics/kroneckerPoint.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'
import type { Chip } from '../../physics/chip/chip.js'
import type { ScoreCurve } from '../../physics/chip/scoreCurve.js'
import { type CurveCriticism, formsAdvantage } from './criticiseCurve.js'
import type { CurveDraw } from './drawFromPosterior.js'
import { type CandidateCurve, topPower } from './prior/curvePrior.js'
import { type BendRoom, bendFromCoefficients, bendRoom } from './scoreBasis.js'

/** What a simple form does better than the curve, as a deviation of the tilt that has this size at the ends of the measured range. */
export function extraTilt(criticism: CurveCriticism | null, [lowW, highW]: Chip['measuredRangeW']): number {
  return criticism === null ? 0 : formsAdvantage(criticism) / (Math.log(highW / lowW) / 2)
}

/** Drawn curves with scale, bend and top; tops go through the prior's shares in a scattered order. */
export function curvesOfDraws(
  draws: readonly CurveDraw[],
  powers: {
    readonly demandW: number | null
    /** At which the workload may ask for no more, as far as anybody can tell, W. */
    readonly possibleDemandW: number | null
    readonly highestW: number
    readonly extraTilt: number
  },
): readonly ScoreCurve[] {
  // Many draws share a candidate.
  const rooms = new Map<CandidateCurve, BendRoom>()
  return draws.map(({ curve, coefficients, logScale }, i) => {
    const room = rooms.get(curve) ?? bendRoom(curve)
    rooms.set(curve, room)
    const demandW =
      powers.demandW ?? (kroneckerPoint(i, 3)[2]! < DEMAND_SHARE ? powers.possibleDemandW : null)
    const topW = demandW ?? topPower(curve, kroneckerPoint(i, 1)[0]!, powers.highestW)
    const bend = bendFromCoefficients(tilted(coefficients, powers.extraTilt, i), room)
    return { ...curve, scale: Math.exp(logScale), bend, topW }
  })
}

/** How often a level from the first second to the last, of which nothing tells the cause, is all that the task asks for: a judgement, no source. */
const DEMAND_SHARE = 0.5

/** Coefficients of one draw with the further tilt; normals in a scattered order. */
function tilted(coefficients: Float64Array, deviation: number, draw: number): Float64Array {
  if (deviation === 0) return coefficients
  const out = coefficients.slice()
  out[1]! += deviation * normalScore(kroneckerPoint(draw, 2)[1]!)
  return out
}
