import type { Chassis } from '../curves/chassis.js'
import type { Chip } from '../curves/chip.js'
import type { LoopMachine } from '../curves/loopMachine.js'
import { rateTable } from '../curves/rateTable.js'
import type { ScoreCurve } from '../curves/scoreCurve.js'
import { type LoopPlan, type LoopSegment, simulateLoop } from '../curves/simulateLoop.js'
import { InputError } from '../errors.js'
import { ESTIMATE_LEVEL, type Estimate, estimateFromDraws } from '../numeric/estimate.js'
import { normalQuantile } from '../numeric/normalQuantile.js'
import type { Warning } from '../warnings.js'
import { cautionsFor } from './caution.js'
import type { LimitsAsked } from './completeLimits.js'
import { drawPairs } from './drawPairs.js'
import { leakageFactors } from './leakageFactors.js'
import type { ProjectedRun, Projection, TargetLimits } from './projection.js'
import { runFigures, summariseRuns } from './runFigures.js'
import { isChassis, sweptTarget, targetMachines } from './targetMachines.js'

/** What to project: a chip, the chassis to put it in, and how the workload is looped. */
export interface ProjectionRequest {
  readonly chip: Chip
  /** Limits in numbers, or a chassis model. */
  readonly target: LimitsAsked | Chassis
  readonly loop: { readonly runs: number; readonly gapS: number }
  /** The chassis the chip was tested in: fills limits that were left out, and gives idle power and controller response. */
  readonly tested?: Chassis | null
  /** Measured scores to compare with, in the workload's unit, with the scatter of runs in their intervals. */
  readonly asTested?: { readonly firstScore: Estimate | null; readonly steadyScore: Estimate | null } | null
  /** Power in pauses, W; default: the tested chassis', else 0. */
  readonly idleW?: number
  /** Sustained watts to sweep over; the other limits stay as asked. */
  readonly sweepW?: readonly number[]
  /** Ambient of the room to project into, degrees C; default: that of the chassis' own test. */
  readonly ambientC?: number
}

/**
 * What a chip would score in another chassis: first and steady run of a loop, with duration, mean power and energy.
 *
 * Every posterior draw of the chip runs the whole loop in a chassis drawn from what its fit leaves possible (numbers are
 * taken as exact), in closed loop and by exact steps (`simulateLoop`). Estimates are weighted quantiles over the draws:
 * the median and the central 90 %. The steady run is the mean of the loop's last three. Intervals are those of the expected
 * score, without the scatter of a single run.
 *
 * Where a run's work is unknown, runs of 60 s are supposed (`run-length-unknown`), and duration and energy are null.
 *
 * @throws InputError from `completeLimits`; `loop-unusable`
 * @example projectScore({ chip, target: { sustainedW: 71 }, loop: { runs: 20, gapS: 5 } }).steady.score.value
 */
export function projectScore(request: ProjectionRequest): Projection {
  const plans = new Map(request.chip.draws.map(({ curve }) => [curve, planFor(request, rateTable(curve))]))
  const main = projectOnce(request, request.target, plans)
  const { chip, asTested } = request
  return {
    chip: chip.name,
    target: main.limits,
    first: main.first,
    steady: main.steady,
    change: {
      firstPct: changePct(main, 'firstScores', asTested?.firstScore ?? null),
      steadyPct: changePct(main, 'steadyScores', asTested?.steadyScore ?? null),
    },
    extrapolation: {
      measuredRangeW: chip.measuredRangeW,
      targetRangeW: main.rangeW,
      outside: isOutside(main.rangeW, chip.measuredRangeW),
    },
    sweep: (request.sweepW ?? []).map((sustainedW) => {
      const { first, steady } = projectOnce(request, sweptTarget(request.target, sustainedW), plans)
      return { sustainedW, first, steady }
    }),
    trace: main.trace,
    warnings: warningsFor(request, main.rangeW),
    cautions: cautionsFor({
      supposedW: main.limits.sustainedW,
      testedW: request.tested?.sustainedW.value ?? null,
      heldByHeat: isChassis(request.target) && request.target.thermal?.ceilingC != null,
    }),
  }
}

/** Length of a run whose work is unknown, s: about what a looped test takes; common practice, no source. */
export const NOMINAL_RUN_S = 60

interface OneProjection {
  readonly limits: TargetLimits
  readonly first: ProjectedRun
  readonly steady: ProjectedRun
  readonly firstScores: readonly number[]
  readonly steadyScores: readonly number[]
  readonly weights: readonly number[]
  readonly rangeW: readonly [number, number]
  readonly trace: Projection['trace']
}

/** Each drawn curve's loop, with a table of rates that all projections of a sweep fill together. */
type Plans = ReadonlyMap<ScoreCurve, LoopPlan>

function projectOnce(request: ProjectionRequest, target: LimitsAsked | Chassis, plans: Plans): OneProjection {
  const { chip } = request
  const { limits, machineFor, scoreCount } = targetMachines(request, target)
  // One score more than the chassis takes: where in the spread of usual temperatures it lies.
  const pairs = drawPairs(chip.draws, scoreCount + 1)
  const total = pairs.reduce((sum, pair) => sum + pair.weight, 0)
  let endlessWeight = 0
  const outcomes = pairs.map(({ curve, scores, heatPerK, weight }) => {
    const plan = plans.get(curve)!
    const machine = machineFor(scores)
    const runs = simulateLoop(machine, plan)
    if (runs.at(-1)!.unfinished) endlessWeight += weight
    // Runs that never end are the worst: the median is one of them, and need not wait for all others.
    if (endlessWeight > total / 2) throw endless(limits)
    const warmth = {
      chassis: isChassis(target) ? target : null,
      score: scores[scoreCount]!,
      heatPerK,
      idleW: machine.idleW,
    }
    const around = { gapS: request.loop.gapS, ambientC: request.ambientC }
    const figures = runFigures(runs, chip, leakageFactors(chip, around, runs, warmth))
    return { machine, plan, ...figures }
  })
  const weights = pairs.map((pair) => pair.weight)
  const steadyScores = outcomes.map((outcome) => outcome.steady.score)
  const steady = summariseRuns(
    outcomes.map((o) => o.steady),
    weights,
    chip,
  )
  const central = outcomes[indexNearest(steadyScores, steady.score.value)] as (typeof outcomes)[number]
  const first = summariseRuns(
    outcomes.map((o) => o.first),
    weights,
    chip,
  )
  if (![first, steady].every(isBounded)) throw sometimesEndless()
  const { trace, rangeW } = traceOf(central.machine, central.plan)
  return {
    limits,
    first,
    steady,
    firstScores: outcomes.map((o) => o.first.score),
    steadyScores,
    weights,
    rangeW,
    trace,
  }
}

function endless({ sustainedW }: TargetLimits): InputError {
  const message = `a chassis with power for the work of a run was needed; at ${sustainedW.toPrecision(3)} W held for good a run never ends`
  return new InputError('loop-unusable', message, { remedy: 'is the chassis meant for this chip?' })
}

/** Whether a run that never ends is too rare to reach the interval. */
function isBounded({ score }: ProjectedRun): boolean {
  return score.low > 0 && Number.isFinite(score.high)
}

function sometimesEndless(): InputError {
  const message =
    'a chassis whose limits are known was needed; too many of the machines that its intervals leave possible never end a run'
  return new InputError('loop-unusable', message, {
    remedy: 'test the chassis for longer, or give its limits in numbers',
  })
}

function planFor({ chip, loop }: ProjectionRequest, rate: LoopPlan['rate']): LoopPlan {
  const { runs, gapS } = loop
  return { runs, gapS, work: chip.workPerRun?.value ?? null, durationS: NOMINAL_RUN_S, rate }
}

/** The measured score's own interval is added to that of the projection as if the two were independent. */
function changePct(
  main: OneProjection,
  which: 'firstScores' | 'steadyScores',
  measured: Estimate | null,
): Estimate | null {
  if (!measured) return null
  const projected = estimateFromDraws({ values: main[which], weights: main.weights })
  const edge = normalQuantile((1 + measured.level) / 2) / normalQuantile((1 + ESTIMATE_LEVEL) / 2)
  const measuredHalf = (measured.high - measured.low) / 2 / measured.value / edge
  const ratio = projected.value / measured.value
  const half = (side: number) => 100 * ratio * Math.hypot(side / projected.value, measuredHalf)
  const value = 100 * (ratio - 1)
  return {
    value,
    low: value - half(projected.value - projected.low),
    high: value + half(projected.high - projected.value),
    level: ESTIMATE_LEVEL,
  }
}

function indexNearest(values: readonly number[], target: number): number {
  let best = 0
  values.forEach((value, i) => {
    if (Math.abs(value - target) < Math.abs((values[best] as number) - target)) best = i
  })
  return best
}

function traceOf(
  machine: LoopMachine,
  plan: LoopPlan,
): { trace: Projection['trace']; rangeW: [number, number] } {
  const timesS: number[] = []
  const powerW: number[] = []
  // Long loops under heat have more segments than a call may have arguments.
  let [lowW, highW] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  simulateLoop(machine, plan, (segment: LoopSegment) => {
    timesS.push(segment.startS, segment.startS + segment.forS)
    powerW.push(segment.powerW, segment.powerW)
    if (segment.powerW <= machine.idleW) return
    lowW = Math.min(lowW, segment.powerW)
    highW = Math.max(highW, segment.powerW)
  })
  return { trace: { timesS, powerW }, rangeW: [lowW, highW] }
}

/** Held levels move by about this share by themselves: noise, rounding of limits. */
const RANGE_TOLERANCE = 0.02

function isOutside(rangeW: readonly [number, number], measured: readonly [number, number]): boolean {
  return rangeW[0] < measured[0] * (1 - RANGE_TOLERANCE) || rangeW[1] > measured[1] * (1 + RANGE_TOLERANCE)
}

function warningsFor(request: ProjectionRequest, rangeW: readonly [number, number]): Warning[] {
  const { chip } = request
  const warnings: Warning[] = []
  if (isOutside(rangeW, chip.measuredRangeW)) {
    const below = chip.measuredRangeW[0] / rangeW[0]
    const above = rangeW[1] / chip.measuredRangeW[1]
    warnings.push({
      code: 'extrapolated',
      measuredRangeW: chip.measuredRangeW,
      powerW: above > below ? rangeW[1] : rangeW[0],
    })
  }
  if (chip.workPerRun === null) warnings.push({ code: 'run-length-unknown', supposedS: NOMINAL_RUN_S })
  return warnings
}
