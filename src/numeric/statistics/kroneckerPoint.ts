/**
 * Point `index` of a low-discrepancy sequence, which fills the unit cube evenly without random numbers.
 *
 *   x_j = frac(1/2 + (index + 1) a_j), a_j = g^-(j+1), g the root of g^(d+1) = g + 1 (golden ratio for d = 1)
 *
 * Additive recurrences with such irrational steps have low discrepancy; the choice of steps generalises the golden ratio.
 *
 * @param index - 0, 1, 2, ...
 * @param dimensions - d >= 1
 * @returns d numbers in [0, 1)
 * @source L. Kuipers, H. Niederreiter (1974), Uniform Distribution of Sequences, chapter 2 (additive recurrences); the steps
 * are from memory of M. Roberts (2018), The unreasonable effectiveness of quasirandom sequences
 * @example kroneckerPoint(0, 1)[0] // 0.118...
 */
export function kroneckerPoint(index: number, dimensions: number): number[] {
  return stepsOf(dimensions).map((step) => (0.5 + (index + 1) * step) % 1)
}

/** The first `count` points; see `kroneckerPoint`. */
export function kroneckerPoints(count: number, dimensions: number): number[][] {
  const steps = stepsOf(dimensions)
  return Array.from({ length: count }, (_, i) => steps.map((step) => (0.5 + (i + 1) * step) % 1))
}

/** Steps by number of dimensions: they cost more to find than a point to make. */
const KNOWN_STEPS = new Map<number, readonly number[]>()

function stepsOf(dimensions: number): readonly number[] {
  const known = KNOWN_STEPS.get(dimensions)
  if (known) return known
  const g = generalisedGoldenRatio(dimensions)
  const steps = Array.from({ length: dimensions }, (_, j) => g ** -(j + 1))
  KNOWN_STEPS.set(dimensions, steps)
  return steps
}

function generalisedGoldenRatio(dimensions: number): number {
  let g = 1.5
  // A contraction with factor below 1 / (d + 1): 60 steps are beyond double precision for every d.
  for (let i = 0; i < 60; i++) g = (1 + g) ** (1 / (dimensions + 1))
  return g
}
