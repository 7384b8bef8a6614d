import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import type { Chip, Workload } from './chip.js'
import { elasticityAt, rateAt } from './scoreCurve.js'

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
  const working = chip.draws
    .map(({ weight, curve }) => ({ weight, curve, rate: rateAt(curve, powerW) }))
    .filter((draw) => draw.rate > 0)
  const weights = working.map((draw) => draw.weight)
  if (weights.reduce((sum, weight) => sum + weight, 0) < 0.5) return undefined
  const scores = working.map((draw) => scoreFromRate(chip.workload, draw.rate))
  const perWatts = scores.map((score) => scorePerWatt(chip.workload, score, powerW))
  const elasticities = working.map((draw) => elasticityAt(draw.curve, powerW) ?? 0)
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
