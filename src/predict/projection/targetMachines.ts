import { normalQuantile } from '../../numeric/statistics/normalQuantile.js'
import type { Chip } from '../../physics/chip/chip.js'
import { budgetsFromLimits } from '../../physics/loop/budgetsFromLimits.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { type LoopEnds, loopsIn } from '../../physics/loop/loopEnds.js'
import type { GivesWay, LoopMachine } from '../../physics/loop/loopMachine.js'
import type { LoopPlan } from '../../physics/loop/simulateRun.js'
import { completeLimits, type LimitsAsked } from './completeLimits.js'
import { machineFromChassis, scoresNeeded } from './machineFromChassis.js'
import type { TargetLimits } from './projection.js'
import { settledPower } from './withSustained.js'

/** A target as a family of machines: one for every set of normal scores. */
export interface TargetMachines {
  readonly limits: TargetLimits
  readonly scoreCount: number
  readonly targetFor: (scores: readonly number[]) => TargetMachine
}

/** One machine exactly, and the loops of any chip in it. */
export interface TargetMachine {
  readonly machine: LoopMachine
  readonly endsOf: (plan: LoopPlan) => LoopEnds
}

/**
 * Machines that a target may be: one exactly, when it is given in numbers, or all that a fitted chassis leaves possible.
 *
 * @param request - the chip, the chassis it was tested in (fills what numbers leave out), power in pauses, and the room
 */
export function targetMachines(
  request: {
    readonly chip: Chip
    readonly tested?: Chassis | null
    readonly idleW?: number
    readonly ambientC?: number
  },
  target: LimitsAsked | Chassis,
): TargetMachines {
  const { chip, tested, ambientC } = request
  if (isChassis(target)) {
    return {
      limits: limitsIn(target, ambientC),
      scoreCount: scoresNeeded(target),
      targetFor: (scores) => withLoops(machineFromChassis(target, chip, scores, ambientC)),
    }
  }
  const limits = completeLimits(target, tested ?? null)
  const idleW = request.idleW ?? tested?.idleW ?? 0
  const responseS = tested?.responseS ?? 0
  const machineOf = (givesWay: GivesWay): LoopMachine => {
    const habits = { idleW: Math.min(idleW, limits.sustainedW / 2), responseS, givesWay }
    return {
      ...habits,
      peakW: chip.demandW === null ? limits.burstW : Math.min(limits.burstW, chip.demandW),
      budgets: budgetsFromLimits(limits, habits),
      heat: null,
      timedSteps: [],
    }
  }
  const seen = tested != null && tested.budgets.length > 0 ? (tested.givesWay ?? 'headroom') : null
  const own = seen ?? 'headroom'
  // One machine of each habit for every chip: what its power does over time is shared.
  const asTested = withLoops(machineOf(own))
  const otherwise = withLoops(machineOf(own === 'headroom' ? 'latch' : 'headroom'))
  const least = normalQuantile(1 - (seen === null ? OTHER_SHARE.unseen : OTHER_SHARE.seen))
  return { limits, scoreCount: 1, targetFor: ([score]) => (score! > least ? otherwise : asTested) }
}

/**
 * How probable it is that the budgets of a chassis given in numbers give way in the other manner than those of the chassis as tested:
 * controllers of one make are mostly alike, and where the tested chassis showed no budget at work nothing is known. Common practice, no source.
 */
const OTHER_SHARE = { seen: 0.25, unseen: 0.5 } as const

function withLoops(machine: LoopMachine): TargetMachine {
  return { machine, endsOf: loopsIn(machine) }
}

/** Limits in the room to project into: what heat holds goes with it. */
function limitsIn(chassis: Chassis, ambientC: number | undefined): TargetLimits {
  const limits = limitsOf(chassis)
  if (ambientC === undefined || chassis.thermal?.ceilingC == null) return limits
  const heldW = settledPower(machineFromChassis(chassis, { demandW: null }, [], ambientC))
  return { ...limits, sustainedW: heldW }
}

/** Whether a target is a chassis model rather than numbers. */
export function isChassis(target: LimitsAsked | Chassis): target is Chassis {
  return 'budgets' in target
}

function limitsOf(chassis: Chassis): TargetLimits {
  return {
    burstW: chassis.burstW.value,
    burstForS: chassis.burstHoldS?.value ?? null,
    shortTermW: chassis.shortTermW?.value ?? null,
    shortTermForS: chassis.shortTermHoldS?.value ?? null,
    sustainedW: chassis.sustainedW.value,
  }
}

/** A chassis model can't be given another sustained level by itself, so its stages are swept as numbers. */
export function sweptTarget(target: LimitsAsked | Chassis, sustainedW: number): LimitsAsked {
  const asked = isChassis(target) ? limitsOf(target) : target
  const shortTermW = asked.shortTermW != null && asked.shortTermW > sustainedW ? asked.shortTermW : null
  const burstW = asked.burstW != null && asked.burstW > sustainedW ? asked.burstW : null
  return {
    sustainedW,
    burstW,
    burstForS: burstW === null ? null : (asked.burstForS ?? null),
    shortTermW,
    shortTermForS: shortTermW === null ? null : (asked.shortTermForS ?? null),
  }
}
