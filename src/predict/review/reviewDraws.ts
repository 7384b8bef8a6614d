import { meanScore, runsOf } from '../../machine/review/countedScores.js'
import type { ReviewedMachine, ReviewedTest, ScoredPart } from '../../machine/review/fitReview.js'
import { argsort } from '../../numeric/argsort.js'
import { ESTIMATE_EDGE } from '../../numeric/statistics/estimate.js'
import { stratifiedNormals } from '../../numeric/statistics/stratifiedNormals.js'
import type { Chip } from '../../physics/chip/chip.js'
import { elasticityAt } from '../../physics/chip/scoreCurve.js'

/** Possible truths of a whole review, the same in every figure of it: what is summed over workloads is summed draw by draw. */
export interface ReviewDraws {
  /** ln of how fast a machine was in a test, of some of its runs: ln score, or -ln of a time. */
  readonly logSpeeds: (test: ReviewedTest, part: ScoredPart) => readonly number[]
  /** Which of a chip's curves each draw takes. */
  readonly curves: (chip: Chip) => readonly number[]
}

/** Enough for the ends of a 90 % interval to stand; a Latin hypercube needs no more. */
export const REVIEW_DRAWS = 480
/** Any: it only has to stay the same. */
const SEED = 1907

/**
 * Draws of everything that a review is uncertain of.
 *
 * - Run-to-run scatter is each test's own: independent.
 * - What a chip makes of a watt is a property of its silicon, and so is the error in it: in one draw all curves of one chip are taken
 *   from the same place in the order of their elasticity. A mean over workloads is then as uncertain as if that error never
 *   averaged out; the error in a curve's level is independent.
 */
export function drawReview(machines: readonly ReviewedMachine[]): ReviewDraws {
  const chips = [...new Set(machines.map(({ chip }) => chip))]
  const tests = machines.flatMap((machine) => machine.tests)
  const normals = stratifiedNormals(REVIEW_DRAWS, chips.length + 2 * tests.length, SEED)
  const column = (j: number) => normals.map((row) => row[j]!)
  const shares = new Map(chips.map((chip, j) => [chip, sharesOf(column(j))]))
  const places = new Map(tests.map((test, i) => [test, chips.length + 2 * i]))
  const curves = new Map<Chip, readonly number[]>()
  return {
    logSpeeds: (test, part) => {
      const at = places.get(test)!
      return scatteredSpeeds(test, part, { level: column(at), scatter: column(at + 1) })
    },
    curves: (chip) => {
      const known = curves.get(chip) ?? curvesAt(chip, shares.get(chip.name)!)
      curves.set(chip, known)
      return known
    },
  }
}

/** ln of the mean score of some runs; of a time its inverse. */
export function logSpeed(
  { workload }: Pick<ReviewedTest, 'workload'>,
  part: Pick<ScoredPart, 'scores' | 'counts'>,
): number {
  return (workload.better === 'lower' ? -1 : 1) * Math.log(meanScore(part))
}

/** The scatter is itself known only within an interval: each half of it is drawn from on the logarithmic scale. */
function scatteredSpeeds(
  test: ReviewedTest,
  part: ScoredPart,
  normals: { readonly level: readonly number[]; readonly scatter: readonly number[] },
): readonly number[] {
  const { value, low, high } = test.scatter
  const middle = logSpeed(test, part)
  const root = Math.sqrt(runsOf(part))
  return normals.level.map((z, k) => {
    const y = normals.scatter[k]!
    const deviation = value * Math.exp((y * Math.log(y < 0 ? value / low : high / value)) / ESTIMATE_EDGE)
    return middle + (z * deviation) / root
  })
}

/** Evenly spread shares between 0 and 1 in the order of a column of normal numbers. */
function sharesOf(column: readonly number[]): readonly number[] {
  const shares = new Array<number>(column.length).fill(0)
  argsort(column).forEach((place, rank) => {
    shares[place] = (rank + 0.5) / column.length
  })
  return shares
}

/** A fitted chip's curves all weigh the same. */
function curvesAt({ draws, measuredRangeW }: Chip, shares: readonly number[]): readonly number[] {
  const middleW = Math.sqrt(measuredRangeW[0] * measuredRangeW[1])
  const order = argsort(draws.map(({ curve }) => elasticityAt(curve, middleW) ?? 0))
  return shares.map((share) => order[Math.floor(share * order.length)]!)
}
