import { InputError } from '../../errors.js'
import {
  ESTIMATE_EDGE,
  ESTIMATE_LEVEL,
  type Estimate,
  estimateEdge,
} from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import { requirePowers } from '../../physics/chip/requirePowers.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { simulateLoop } from '../../physics/loop/simulateLoop.js'
import type { LoopPlan, LoopSegment } from '../../physics/loop/simulateRun.js'
import { USUAL_RUN_S } from '../../physics/loop/usualLoop.js'
import { formatQuantity } from '../../units.js'
import type { Warning } from '../../warnings.js'
import { cautionsFor } from './caution.js'
import type { LimitsAsked } from './completeLimits.js'
import { ownError, widenedBy } from './ownError.js'
import type { ProjectedRun, Projection } from './projection.js'
import { projectionDraws, projectTarget } from './projectTarget.js'
import { isChassis, sweptTarget } from './targetMachines.js'

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
  /** How the test was looped; default: as `loop`. */
  readonly testedLoop?: ProjectionRequest['loop']
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
 * score, without the scatter of a single run. What the model misses of the test's own steady score widens that of the steady run.
 *
 * Where a run's work is unknown, runs of 60 s are supposed (`run-length-unknown`), and duration and energy are null.
 *
 * @throws InputError from `completeLimits`; `loop-unusable`, `power-out-of-reach`, `ambient-out-of-reach`
 * @example projectScore({ chip, target: { sustainedW: 71 }, loop: { runs: 20, gapS: 5 } }).steady.score.value
 */
export function projectScore(request: ProjectionRequest): Projection {
  const { chip, loop, asTested } = request
  requirePowers(chip, powersAsked(request))
  requireRoom(request.ambientC)
  const draws = projectionDraws(chip, loop, isChassis(request.target))
  const main = projectTarget(request, request.target, draws)
  const error = errorInOwnTest(request)
  const steady = withError(main.steady, error)
  const { trace, rangeW } = traceOf(main.central.machine, main.central.plan)
  return {
    chip: chip.name,
    target: main.limits,
    first: main.first,
    steady,
    change: {
      firstPct: changePct(main.first.score, asTested?.firstScore ?? null),
      steadyPct: changePct(steady.score, asTested?.steadyScore ?? null),
    },
    extrapolation: {
      measuredRangeW: chip.measuredRangeW,
      targetRangeW: rangeW,
      outside: isOutside(rangeW, chip.measuredRangeW),
    },
    sweep: (request.sweepW ?? []).map((sustainedW) => {
      const swept = projectTarget(request, sweptTarget(request.target, sustainedW), draws)
      return { sustainedW, first: swept.first, steady: withError(swept.steady, error) }
    }),
    trace,
    warnings: warningsFor(request, rangeW),
    cautions: cautionsFor({
      supposedW: main.limits.sustainedW,
      testedW: request.tested?.sustainedW.value ?? null,
      heldByHeat: isChassis(request.target) && request.target.thermal?.ceilingC != null,
    }),
  }
}

/** Levels that a target is given by in numbers. A chassis model's are its own. */
function powersAsked({ target, sweepW }: ProjectionRequest): readonly number[] {
  const numbers = isChassis(target) ? [] : [target.sustainedW, target.shortTermW, target.burstW]
  return [...numbers, ...(sweepW ?? [])].filter((powerW) => powerW != null && powerW > 0) as number[]
}

/** Rooms that people test in, degrees C, and then some; common practice, no source. */
const ROOM_C = [-40, 60] as const

function requireRoom(ambientC: number | undefined): void {
  if (ambientC === undefined || (ambientC >= ROOM_C[0] && ambientC <= ROOM_C[1])) return
  throw new InputError(
    'ambient-out-of-reach',
    `expected a room of ${ROOM_C[0]} to ${ROOM_C[1]} °C, got ${formatQuantity(ambientC, 'temperature')}`,
    { remedy: 'give the temperature of the room, not of the chip: 22 degC' },
  )
}

/** 0 where the test has no steady score to hold the model against. */
function errorInOwnTest({ chip, tested, asTested, loop, testedLoop }: ProjectionRequest): number {
  const measured = asTested?.steadyScore
  return tested && measured ? ownError({ chip, tested, loop: testedLoop ?? loop }, measured) : 0
}

function withError(run: ProjectedRun, error: number): ProjectedRun {
  return { ...run, score: widenedBy(run.score, error), perWatt: widenedBy(run.perWatt, error) }
}

/** The measured score's own interval is added to that of the projection as if the two were independent. */
function changePct(projected: Estimate, measured: Estimate | null): Estimate | null {
  if (!measured) return null
  const edge = estimateEdge(measured.level) / ESTIMATE_EDGE
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
  if (chip.workPerRun === null) warnings.push({ code: 'run-length-unknown', supposedS: USUAL_RUN_S })
  return warnings
}
