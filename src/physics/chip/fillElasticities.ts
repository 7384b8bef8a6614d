import { bendElasticity } from './elasticityBend.js'
import { elasticityAt, type ScoreCurve, steepBelow } from './scoreCurve.js'
import { fillRelativeElasticities } from './voltageFloor.js'

/**
 * `elasticityAt` at many powers of one curve; 0 where there is none.
 *
 * @param powersW - W, rising
 * @param out - receives an elasticity for each
 */
export function fillElasticities(curve: ScoreCurve, powersW: ArrayLike<number>, out: Float64Array): void {
  let from = 0
  while (from < out.length && (curve.shape !== 'voltage-floor' || !(powersW[from]! >= steepBelow(curve)))) {
    out[from] = elasticityAt(curve, powersW[from]!) ?? 0
    from++
  }
  if (curve.shape !== 'voltage-floor') return
  fillRelativeElasticities(curve, powersW, out, from)
  const { topW, bend, referenceW } = curve
  for (let g = from; g < out.length; g++) {
    if (topW !== null && powersW[g]! > topW) out[g] = 0
    else if (bend !== null) out[g]! += bendElasticity(bend, Math.log(powersW[g]! / referenceW))
  }
}
