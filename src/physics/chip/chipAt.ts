import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import type { Chip, Workload } from './chip.js'
import { fillElasticities } from './fillElasticities.js'
import { fillRates } from './scoreCurve.js'

/** What a chip makes of one constant power. */
export interface ChipPoint {
  readonly powerW: number
  readonly score: Estimate
  /** Score per watt; for a time, runs per watt-hour. */
  readonly perWatt: Estimate
  /** Per cent of rate for one per cent of power. */
  readonly elasticity: Estimate
}

/**
 * Score, score per watt and elasticity of a chip at a constant power, with intervals from its posterior draws.
 *
 * Far below the measured powers a rate may be too small to be told from 0; the figures are then of the other draws.
 *
 * @param powerW - W
 * @returns undefined when most draws have no rate at this power: at 0 W, or next to it
 * @example chipAt(chip, 60)?.score.value
 */
export function chipAt(chip: Chip, powerW: number): ChipPoint | undefined {
  return chipAlong(chip, [powerW])[0]
}

/**
 * `chipAt` at many powers, for which each drawn curve is gone along once.
 *
 * @param powersW - W, rising
 */
export function chipAlong(chip: Chip, powersW: readonly number[]): readonly (ChipPoint | undefined)[] {
  const along = (fill: typeof fillRates) =>
    chip.draws.map(({ curve }) => {
      const out = new Float64Array(powersW.length)
      fill(curve, powersW, out)
      return out
    })
  const rates = along(fillRates)
  const elasticities = along(fillElasticities)
  return powersW.map((powerW, g) => pointOf(chip, powerW, { rates, elasticities, g }))
}

/** What the draws say at one power, the `g`-th of those that they were taken along. */
function pointOf(
  { draws, workload }: Chip,
  powerW: number,
  along: {
    readonly rates: readonly Float64Array[]
    readonly elasticities: readonly Float64Array[]
    readonly g: number
  },
): ChipPoint | undefined {
  const weights: number[] = []
  const scores: number[] = []
  const elasticities: number[] = []
  let total = 0
  for (let k = 0; k < draws.length; k++) {
    const rate = along.rates[k]![along.g]!
    if (!(rate > 0)) continue
    weights.push(draws[k]!.weight)
    scores.push(scoreFromRate(workload, rate))
    elasticities.push(along.elasticities[k]![along.g]!)
    total += draws[k]!.weight
  }
  if (total < 0.5) return undefined
  const perWatts = scores.map((score) => scorePerWatt(workload, score, powerW))
  return {
    powerW,
    score: estimateFromDraws({ values: scores, weights }),
    perWatt: estimateFromDraws({ values: perWatts, weights }),
    elasticity: estimateFromDraws({ values: elasticities, weights }),
  }
}

/** Rate to score: itself, or its inverse when the score is a time for fixed work. */
export function scoreFromRate(workload: Workload, rate: number): number {
  return workload.better === 'lower' ? 1 / rate : rate
}

/** Score to rate: the inverse of `scoreFromRate`. */
export function rateFromScore(workload: Workload, score: number): number {
  return workload.better === 'lower' ? 1 / score : score
}

/** Score per watt; for a time, runs per watt-hour (the same as runs per hour and watt). */
export function scorePerWatt(workload: Workload, score: number, powerW: number): number {
  if (workload.better === 'higher') return score / powerW
  const scoreS = workload.score === 'min' ? score * 60 : score
  return 3600 / (scoreS * powerW)
}
