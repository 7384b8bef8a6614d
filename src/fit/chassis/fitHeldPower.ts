import { fitLeastSquares } from '../../numeric/leastSquares/fitLeastSquares.js'
import { correlationFactor, lagOneCorrelation } from '../../numeric/statistics/noise.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import type { LoadRecord } from './loadRecord.js'
import { predictPower } from './predictPower.js'

/** A machine that reproduces a measured load, with how well and how surely. */
export interface HeldPowerFit {
  readonly machine: LoopMachine
  /** The machine that other parameters would make. */
  readonly machineFor: (parameters: readonly number[]) => LoopMachine
  /** As given, all > 0. */
  readonly parameters: readonly number[]
  /** Standard errors of the parameters' logarithms, widened for correlated residuals; undefined when undetermined. */
  readonly logErrors: readonly number[] | undefined
  /** Robust sum of squared residuals over the noise variance. */
  readonly cost: number
  readonly samples: number
}

/** What is fitted: positive parameters, and the machine that they make. */
export interface HeldPowerModel {
  readonly start: readonly number[]
  /** Each parameter stays within this factor of its start, either way. */
  readonly within: readonly number[]
  /** Length of the first step, as `fitLeastSquares` takes it. */
  readonly firstRadius?: number
  readonly machine: (parameters: readonly number[]) => LoopMachine
}

/**
 * Fits a machine's limits, time constants and response to the measured power of one load: all runs and pauses at once.
 *
 * Least squares over the mean power in every undisturbed sampling interval, the machine being run in closed loop through the
 * record's own passes (`predictPower`). Parameters are fitted as logarithms; residuals beyond `OUTLIER` noise widths count by
 * their size instead of its square, so that a spike can't pull a level while a misplaced drop still shows.
 *
 * @param record - the load as measured
 * @param model - starting values, bounds and the machine they make
 */
export function fitHeldPower(record: LoadRecord, model: HeldPowerModel): HeldPowerFit {
  const used = usedSamples(record)
  const residuals = remembered((logs) => robustResiduals(record, used, model.machine(logs.map(Math.exp))))
  const start = model.start.map(Math.log)
  const fit = fitLeastSquares({
    residuals,
    jacobianColumns: (logs) => differences(residuals, logs),
    start,
    lower: start.map((value, i) => value - Math.log(model.within[i]!)),
    upper: start.map((value, i) => value + Math.log(model.within[i]!)),
    maxEvaluations: EVALUATIONS,
    tolerance: TOLERANCE,
    firstRadius: model.firstRadius,
  })
  const widening = Math.sqrt(correlationFactor(lagOneCorrelation(fit.residuals, 1)))
  const parameters = fit.parameters.map(Math.exp)
  return {
    machine: model.machine(parameters),
    machineFor: model.machine,
    parameters,
    logErrors: fit.standardErrors?.map((error) => error * widening),
    cost: fit.residualSumOfSquares,
    samples: used.length,
  }
}

/** A parameter that no residual tells of, with the standard error of its logarithm. */
export interface HeldParameter {
  /** Its place among all of them. */
  readonly at: number
  readonly value: number
  readonly logError: number
}

/**
 * Fits a machine with some of its parameters held where they are known from elsewhere: the errors of the others are those without them.
 *
 * @param held - in the order of their places
 */
export function fitAround(
  record: LoadRecord,
  model: HeldPowerModel,
  held: readonly HeldParameter[],
): HeldPowerFit {
  const others = (values: readonly number[]) => values.filter((_, i) => held.every(({ at }) => at !== i))
  const among = (values: readonly number[], of: 'value' | 'logError') =>
    held.reduce<readonly number[]>((all, each) => all.toSpliced(each.at, 0, each[of]), values)
  const fit = fitHeldPower(record, {
    ...model,
    start: others(model.start),
    within: others(model.within),
    machine: (free) => model.machine(among(free, 'value')),
  })
  return {
    ...fit,
    machineFor: model.machine,
    parameters: among(fit.parameters, 'value'),
    logErrors: fit.logErrors && among(fit.logErrors, 'logError'),
  }
}

/** Cost per sample of a fit whose machine is the right one: noise alone costs 1, what no model says of a level the rest; chosen, no source. */
export const GOOD_FIT = 1.6

/** Enough for eight parameters to settle to a part in a thousand; a misfit machine stops here. */
const EVALUATIONS = 28
/** Steps below a hundredth of a standard error change no printed digit. */
const TOLERANCE = 1e-2
/** Step of the logarithms: far above the rounding of event times, far below the width of a glide. */
const DIFFERENCE_STEP = 2e-4
/** Noise widths beyond which a residual counts linearly: a normal one is never so large. */
const OUTLIER = 5
/** What no such model says about a level (background work, drifting sensors), as a share of it. */
const LEAST_NOISE = 0.004

function usedSamples(record: LoadRecord): number[] {
  const used: number[] = []
  record.pass.forEach((pass, i) => {
    if (pass >= 0) used.push(i)
  })
  return used
}

function robustResiduals(record: LoadRecord, used: readonly number[], machine: LoopMachine): Float64Array {
  const predicted = predictPower(machine, record)
  const residuals = new Float64Array(used.length)
  for (let k = 0; k < used.length; k++) {
    const i = used[k]!
    const measuredW = record.powerW[i]!
    const sizeW = Math.max(record.noiseW, LEAST_NOISE * measuredW, 1e-6)
    const residual = (predicted[i]! - measuredW) / sizeW
    const size = Math.abs(residual)
    residuals[k] =
      size <= OUTLIER ? residual : Math.sign(residual) * Math.sqrt(OUTLIER * (2 * size - OUTLIER))
  }
  return residuals
}

type Residuals = (logs: readonly number[]) => Float64Array

/** Derivatives are mostly asked for where the residuals have just been. */
function remembered(residuals: Residuals): Residuals {
  let known: { readonly logs: readonly number[]; readonly values: Float64Array } | undefined
  return (logs) => {
    if (known !== undefined && logs.every((value, j) => value === known!.logs[j])) return known.values
    known = { logs, values: residuals(logs) }
    return known.values
  }
}

/** One-sided differences, a column a parameter: half the runs of central ones, and near enough for a search. */
function differences(residuals: Residuals, logs: readonly number[]): readonly Float64Array[] {
  const here = residuals(logs)
  return logs.map((_, j) => {
    const there = residuals(logs.map((value, i) => (i === j ? value + DIFFERENCE_STEP : value)))
    return there.map((value, i) => (value - here[i]!) / DIFFERENCE_STEP)
  })
}
