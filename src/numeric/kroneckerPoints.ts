/**
 * The first points of a low-discrepancy sequence, which fills the unit cube evenly without random numbers.
 *
 *   x_j(i) = frac(1/2 + (i + 1) a_j), a_j = g^-(j+1), g the root of g^(d+1) = g + 1 (golden ratio for d = 1)
 *
 * Additive recurrences with such irrational steps have low discrepancy; the choice of steps generalises the golden ratio.
 *
 * @param count - how many points
 * @param dimensions - d >= 1
 * @returns `count` arrays of d numbers in [0, 1)
 * @source L. Kuipers, H. Niederreiter (1974), Uniform Distribution of Sequences, chapter 2 (additive recurrences); the steps
 * are from memory of M. Roberts (2018), The unreasonable effectiveness of quasirandom sequences
 * @example kroneckerPoints(1, 1)[0]![0] // 0.118...
 */
export function kroneckerPoints(count: number, dimensions: number): readonly Float64Array[] {
  const g = generalisedGoldenRatio(dimensions)
  const steps = Array.from({ length: dimensions }, (_, j) => g ** -(j + 1))
  const points: Float64Array[] = []
  for (let i = 0; i < count; i++) {
    const point = new Float64Array(dimensions)
    for (let j = 0; j < dimensions; j++) point[j] = (0.5 + (i + 1) * steps[j]!) % 1
    points.push(point)
  }
  return points
}

function generalisedGoldenRatio(dimensions: number): number {
  let g = 1.5
  // A contraction with factor below 1 / (d + 1): 60 steps are beyond double precision for every d.
  for (let i = 0; i < 60; i++) g = (1 + g) ** (1 / (dimensions + 1))
  return g
}
