import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import { rateAt } from '../../physics/chip/scoreCurve.js'
import { pairDraws } from './pairDraws.js'

/** Power at which two chips score the same; below it one is ahead, above it the other. */
export interface Crossover {
  readonly between: readonly [string, string]
  readonly powerW: Estimate
  /** Probability that the two cross at all within the powers that were looked at. */
  readonly probability: number
  /** Chip that is ahead below the crossover. */
  readonly aheadBelow: string
  /** Chips that were not measured at that power. */
  readonly extrapolated: readonly string[]
}

/**
 * Powers at which pairs of chips cross, where the posterior has a crossing more often than not.
 *
 * Each pair of posterior draws is searched from the lowest to the highest power that either chip was measured at, a quarter
 * wider on both sides; the interval is that of the draws that do cross. Of several crossings of one pair, the one
 * nearest to the middle counts.
 *
 * @param chips - two or more
 * @param minProbability - crossings less probable than this are not reported
 */
export function findCrossovers(chips: readonly Chip[], minProbability = 0.5): readonly Crossover[] {
  return chips.flatMap((first, i) =>
    chips.slice(i + 1).flatMap((second) => {
      const crossover = findCrossover(first, second)
      return crossover !== undefined && crossover.probability >= minProbability ? [crossover] : []
    }),
  )
}

/** Points of the search, evenly spaced in ln power; between two of them a crossing is found by a straight line. */
const GRID_POINTS = 41
/** How far beyond the measured powers a crossing is still looked for. */
const REACH = 1.25
/** Every third pair of draws: a crossover's interval needs no more. */
const STRIDE = 3

function findCrossover(first: Chip, second: Chip): Crossover | undefined {
  const low = Math.min(first.measuredRangeW[0], second.measuredRangeW[0]) / REACH
  const high = Math.max(first.measuredRangeW[1], second.measuredRangeW[1]) * REACH
  const powers = Array.from({ length: GRID_POINTS }, (_, i) => low * (high / low) ** (i / (GRID_POINTS - 1)))
  const pairs = pairDraws([first, second]).filter((_, i) => i % STRIDE === 0)
  const [ratesA, ratesB] = [first, second].map((chip) => ratesOf(chip, powers)) as [Rates, Rates]
  const crossings = pairs.flatMap(({ draws: [a, b] }) => crossingOf(ratesA[a!]!, ratesB[b!]!, powers))
  if (crossings.length === 0) return undefined
  const below = crossings.filter((crossing) => crossing.firstAheadBelow).length
  const powerW = estimateFromDraws({ values: crossings.map((crossing) => crossing.powerW) })
  return {
    between: [first.name, second.name],
    powerW,
    probability: crossings.length / pairs.length,
    aheadBelow: 2 * below >= crossings.length ? first.name : second.name,
    extrapolated: [first, second]
      .filter(({ measuredRangeW: [lowest, highest] }) => powerW.value < lowest || powerW.value > highest)
      .map(({ name }) => name),
  }
}

/** Rate of every draw at every power. */
type Rates = readonly (readonly number[])[]

function ratesOf(chip: Chip, powers: readonly number[]): Rates {
  return chip.draws.map(({ curve }) => powers.map((powerW) => rateAt(curve, powerW)))
}

function crossingOf(
  a: readonly number[],
  b: readonly number[],
  powers: readonly number[],
): { readonly powerW: number; readonly firstAheadBelow: boolean }[] {
  const leads = powers.map((_, i) => lead(a[i]!, b[i]!))
  const middle = (powers.length - 1) / 2
  let best: number | undefined
  for (let i = 0; i + 1 < powers.length; i++) {
    const crosses = leads[i]! * leads[i + 1]! < 0
    if (crosses && (best === undefined || Math.abs(i + 0.5 - middle) < Math.abs(best + 0.5 - middle)))
      best = i
  }
  if (best === undefined) return []
  const share = leads[best]! / (leads[best]! - leads[best + 1]!)
  const powerW = powers[best]! * (powers[best + 1]! / powers[best]!) ** share
  return [{ powerW, firstAheadBelow: leads[best]! > 0 }]
}

/** ln of the ratio of rates; a chip that would not run at all is behind by far, two such are level. */
function lead(rateA: number, rateB: number): number {
  return rateA === rateB ? 0 : Math.max(-50, Math.min(50, Math.log(rateA / rateB)))
}
