/** An elasticity that is given at some powers, straight between them over ln power; beyond them it stays as it is. */
export interface ElasticityKnots {
  /** ln(P / reference) of the knots, never falling: where several lie at one power, the elasticity jumps. */
  readonly knotsLn: readonly number[]
  /** Elasticity at each knot, >= 0. */
  readonly elasticities: readonly number[]
}

/** Elasticity at t = ln(P / reference). */
export function courseElasticity({ knotsLn, elasticities }: ElasticityKnots, t: number): number {
  const after = knotsLn.findIndex((knot) => t < knot)
  if (after === -1) return elasticities.at(-1)!
  if (after === 0) return elasticities[0]!
  const from = knotsLn[after - 1]!
  const share = (t - from) / (knotsLn[after]! - from)
  return elasticities[after - 1]! + share * (elasticities[after]! - elasticities[after - 1]!)
}

/** ln rate at t = ln(P / reference), from that at the first knot: the area under the elasticity. */
export function courseLogRate({ knotsLn, elasticities }: ElasticityKnots, t: number): number {
  const last = knotsLn.length - 1
  if (t <= knotsLn[0]!) return elasticities[0]! * (t - knotsLn[0]!)
  let sum = 0
  for (let j = 0; j < last; j++) {
    const from = knotsLn[j]!
    const width = knotsLn[j + 1]! - from
    if (width === 0) continue
    const rise = elasticities[j + 1]! - elasticities[j]!
    const along = Math.min(width, t - from)
    sum += along * (elasticities[j]! + (rise * along) / (2 * width))
    if (along < width) return sum
  }
  return sum + elasticities[last]! * (t - knotsLn[last]!)
}
