import { InputError } from '../../errors.js'
import type { Chip } from '../../physics/chip/chip.js'
import { rateTable } from '../../physics/chip/rateTable.js'
import { rateAt, type ScoreCurve } from '../../physics/chip/scoreCurve.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import type { LoopPlan } from '../../physics/loop/simulateRun.js'
import { USUAL_RUN_S } from '../../physics/loop/usualLoop.js'
import type { LimitsAsked } from './completeLimits.js'
import { type DrawPair, drawPairs } from './drawPairs.js'
import { leakageFactors } from './leakageFactors.js'
import type { ProjectedRun, TargetLimits } from './projection.js'
import { roomForFigures, summariseRuns, writeFigures } from './runFigures.js'
import { isChassis, targetMachines } from './targetMachines.js'

/** One target's projection, with what each draw gave. */
export interface TargetProjection {
  readonly limits: TargetLimits
  readonly first: ProjectedRun
  readonly steady: ProjectedRun
  readonly firstScores: Float64Array
  readonly steadyScores: Float64Array
  readonly weights: readonly number[]
  /** The limits as they are told, with the drawn curve whose steady score is nearest to the median. */
  readonly central: { readonly machine: LoopMachine; readonly plan: LoopPlan }
}

/** The draws of a chip as all targets of a sweep take them. */
export interface ProjectionDraws {
  /** Each drawn curve's loop; a table of rates is filled by all targets together. */
  readonly plans: ReadonlyMap<ScoreCurve, LoopPlan>
  /** Draws with so many normal scores each; see `drawPairs`. */
  readonly pairs: (scoreCount: number) => readonly DrawPair[]
}

/**
 * Makes what all targets of a sweep share, once.
 *
 * A fitted chassis and pauses lead each draw through powers of its own, many of them close together, for which a table of
 * rates pays; one course of power for all draws has a dozen levels.
 *
 * @param ofChassis - whether the targets are a fitted chassis rather than numbers
 */
export function projectionDraws(
  { draws, workPerRun }: Chip,
  { runs, gapS }: { readonly runs: number; readonly gapS: number },
  ofChassis: boolean,
): ProjectionDraws {
  const rateOf = (curve: ScoreCurve) =>
    ofChassis || gapS > 0 ? rateTable(curve) : (powerW: number) => rateAt(curve, powerW)
  const plan = { runs, gapS, work: workPerRun?.value ?? null, durationS: USUAL_RUN_S }
  const known = new Map<number, readonly DrawPair[]>()
  return {
    plans: new Map(draws.map(({ curve }) => [curve, { ...plan, rate: rateOf(curve) }])),
    pairs: (scoreCount) => {
      const pairs = known.get(scoreCount) ?? drawPairs(draws, scoreCount)
      known.set(scoreCount, pairs)
      return pairs
    },
  }
}

/**
 * First and steady run of a chip's loop in one target, over all draws.
 *
 * @param request - as `projectScore` has it
 * @throws InputError from `completeLimits`; `loop-unusable`
 */
export function projectTarget(
  request: Parameters<typeof targetMachines>[0] & { readonly loop: { readonly gapS: number } },
  target: LimitsAsked | Chassis,
  draws: ProjectionDraws,
): TargetProjection {
  const { chip } = request
  const { limits, targetFor, scoreCount } = targetMachines(request, target)
  // One score more than the chassis takes: where in the spread of usual temperatures it lies.
  const pairs = draws.pairs(scoreCount + 1)
  const total = pairs.reduce((sum, pair) => sum + pair.weight, 0)
  const around = { gapS: request.loop.gapS, ambientC: request.ambientC }
  const chassis = isChassis(target) ? target : null
  const figures = roomForFigures(pairs.length)
  let endlessWeight = 0
  for (let k = 0; k < pairs.length; k++) {
    const { curve, scores, heatPerK, weight } = pairs[k]!
    const { machine, endsOf } = targetFor(scores)
    const ends = endsOf(draws.plans.get(curve)!)
    if (ends.last.at(-1)!.unfinished) endlessWeight += weight
    // Runs that never end are the worst: the median is one of them, and need not wait for all others.
    if (endlessWeight > total / 2) throw endless(chip, limits)
    const warmth = { chassis, score: scores[scoreCount]!, heatPerK, idleW: machine.idleW }
    writeFigures(figures, k, ends, chip, leakageFactors(chip, around, ends, warmth))
  }
  const weights = pairs.map((pair) => pair.weight)
  const first = summariseRuns(figures.first, weights, chip)
  const steady = summariseRuns(figures.steady, weights, chip)
  if (!isBounded(first) || !isBounded(steady)) throw chassis ? sometimesEndless() : endless(chip, limits)
  const central = pairs[indexNearest(figures.steady.score, steady.score.value)]!
  return {
    limits,
    first,
    steady,
    firstScores: figures.first.score,
    steadyScores: figures.steady.score,
    weights,
    central: { machine: targetFor([]).machine, plan: draws.plans.get(central.curve)! },
  }
}

function endless(chip: Chip, { sustainedW }: TargetLimits): InputError {
  const [lowest, highest] = chip.measuredRangeW.map((powerW) => powerW.toPrecision(3))
  const message = `expected a power that lets a run end, got ${sustainedW.toPrecision(3)} W: held for good, ${chip.name}, measured from ${lowest} to ${highest} W, takes months for one run`
  return new InputError('loop-unusable', message, {
    remedy: 'ask for a power nearer to the measured ones; is the chassis meant for this chip?',
  })
}

/** Whether a run that never ends is too rare to reach the interval. */
function isBounded({ score }: ProjectedRun): boolean {
  return score.low > 0 && Number.isFinite(score.high)
}

function sometimesEndless(): InputError {
  const message =
    'expected a chassis whose limits are known, got one whose intervals leave too many machines possible that never end a run'
  return new InputError('loop-unusable', message, {
    remedy: 'test the chassis for longer, or give its limits in numbers',
  })
}

/** The first of those that are nearest: a median lies halfway between two, and rounding is not to choose. */
function indexNearest(values: Float64Array, target: number): number {
  let best = 0
  values.forEach((value, i) => {
    if (Math.abs(value - target) < TIED * Math.abs(values[best]! - target)) best = i
  })
  return best
}

/** Distances whose ratio is nearer to 1 are equal; rounding moves scores by less than a ten-millionth. */
const TIED = 0.999
