import type { Chip } from '../curves/chip.js'
import { scoreFromRate, scorePerWatt } from '../curves/chipAt.js'
import type { LoopRun } from '../curves/simulateLoop.js'
import { estimateFromDraws } from '../numeric/estimate.js'
import type { RateFactors } from './leakageFactors.js'
import type { ProjectedRun } from './projection.js'

/** One run of a loop, in what a reviewer counts. */
export interface RunFigures {
  readonly score: number
  readonly durationS: number
  readonly meanW: number
  readonly energyWh: number
}

/**
 * First run and steady run of a simulated loop: the steady one is the mean of the last three.
 *
 * @param factors - what leakage leaves of the rate, in the first run and in settled ones
 */
export function runFigures(
  runs: readonly LoopRun[],
  chip: Chip,
  factors: RateFactors,
): { first: RunFigures; steady: RunFigures } {
  const figures = runs.map((run, i) => figuresOf(run, chip, i === 0 ? factors.first : factors.settled))
  const last = figures.slice(-STEADY_RUNS)
  const mean = (pick: (run: RunFigures) => number) =>
    last.reduce((sum, run) => sum + pick(run), 0) / last.length
  const durationS = mean((run) => run.durationS)
  const energyWh = mean((run) => run.energyWh)
  return {
    first: figures[0] as RunFigures,
    steady: {
      score: mean((run) => run.score),
      durationS,
      energyWh,
      meanW: (energyWh * SECONDS_PER_HOUR) / durationS,
    },
  }
}

/** Estimates of a run's figures over the posterior draws. */
export function summariseRuns(
  runs: readonly RunFigures[],
  weights: readonly number[],
  chip: Chip,
): ProjectedRun {
  const estimate = (pick: (run: RunFigures) => number) =>
    estimateFromDraws({ values: runs.map(pick), weights })
  const timed = chip.workPerRun !== null
  return {
    score: estimate((run) => run.score),
    durationS: timed ? estimate((run) => run.durationS) : null,
    meanW: estimate((run) => run.meanW),
    energyWh: timed ? estimate((run) => run.energyWh) : null,
    perWatt: estimate((run) => scorePerWatt(chip.workload, run.score, run.meanW)),
  }
}

const STEADY_RUNS = 3
const SECONDS_PER_HOUR = 3600

/** Leakage changes rate and duration by at most a few per cent, too little to move the loop's power over time. */
function figuresOf(run: LoopRun, chip: Chip, factor: number): RunFigures {
  const timed = chip.workPerRun !== null
  return {
    score: scoreFromRate(chip.workload, run.meanRate * factor),
    durationS: timed ? run.durationS / factor : run.durationS,
    meanW: run.energyJ / run.durationS,
    energyWh: run.energyJ / SECONDS_PER_HOUR / (timed ? factor : 1),
  }
}
