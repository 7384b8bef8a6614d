import { estimateFromDraws } from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import { scoreFromRate, scorePerWatt } from '../../physics/chip/chipAt.js'
import type { LoopEnds } from '../../physics/loop/loopEnds.js'
import type { LoopRun } from '../../physics/loop/simulateRun.js'
import type { RateFactors } from './leakageFactors.js'
import type { ProjectedRun } from './projection.js'

/** One kind of run in what a reviewer counts: a column each, with a place for every draw. */
export interface FigureColumns {
  readonly score: Float64Array
  readonly durationS: Float64Array
  readonly meanW: Float64Array
  readonly energyWh: Float64Array
}

/** First and steady runs of all draws. */
export interface RunFigures {
  readonly first: FigureColumns
  readonly steady: FigureColumns
}

/** Room for the runs of so many draws: a sweep makes tens of thousands, too many for an object each. */
export function roomForFigures(draws: number): RunFigures {
  const column = () => new Float64Array(draws)
  const columns = () => ({ score: column(), durationS: column(), meanW: column(), energyWh: column() })
  return { first: columns(), steady: columns() }
}

/**
 * Writes down the first run and the steady run of one draw's loop: the steady one is the mean of the last three.
 *
 * @param at - place of the draw
 * @param factors - what leakage leaves of the rate, in the first run and in settled ones
 */
export function writeFigures(
  figures: RunFigures,
  at: number,
  { count, first, last }: LoopEnds,
  chip: Chip,
  factors: RateFactors,
): void {
  addFigures(figures.first, at, first, chip, factors.first, 1)
  const { steady } = figures
  for (let k = 0; k < last.length; k++) {
    const isFirst = count - last.length + k === 0
    addFigures(steady, at, last[k]!, chip, isFirst ? factors.first : factors.settled, 1 / last.length)
  }
  steady.meanW[at] = (steady.energyWh[at]! * SECONDS_PER_HOUR) / steady.durationS[at]!
}

/** Estimates of a run's figures over the posterior draws. */
export function summariseRuns(columns: FigureColumns, weights: readonly number[], chip: Chip): ProjectedRun {
  const estimate = (values: Float64Array) => estimateFromDraws({ values, weights })
  const { score, durationS, meanW, energyWh } = columns
  const timed = chip.workPerRun !== null
  return {
    score: estimate(score),
    durationS: timed ? estimate(durationS) : null,
    meanW: estimate(meanW),
    energyWh: timed ? estimate(energyWh) : null,
    perWatt: estimate(score.map((value, k) => scorePerWatt(chip.workload, value, meanW[k]!))),
  }
}

const SECONDS_PER_HOUR = 3600

/**
 * Adds a share of a run's figures. Leakage changes rate and duration by at most a few per cent, too little to move the loop's power
 * over time.
 */
function addFigures(
  columns: FigureColumns,
  at: number,
  run: LoopRun,
  chip: Chip,
  factor: number,
  share: number,
): void {
  const longer = chip.workPerRun !== null ? 1 / factor : 1
  columns.score[at]! += share * scoreFromRate(chip.workload, run.meanRate * factor)
  columns.durationS[at]! += share * run.durationS * longer
  columns.meanW[at]! += (share * run.energyJ) / run.durationS
  columns.energyWh[at]! += ((share * run.energyJ) / SECONDS_PER_HOUR) * longer
}
