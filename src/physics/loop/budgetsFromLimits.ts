import { findRoot } from '../../numeric/findRoot.js'
import { averageAfter, averageAfterRelaxation, timeConstantFromHold } from '../chassis/powerBudget.js'
import { averageAtDrop, halfWayS, type LoopMachine } from './loopMachine.js'

/**
 * Levels that a load from idle goes through, W, and how long each is held, s, from its own start: up to when power is half way
 * to the next level.
 */
export interface HeldLimits {
  readonly burstW: number
  readonly burstForS: number | null
  readonly shortTermW: number | null
  readonly shortTermForS: number | null
  readonly sustainedW: number
}

/**
 * The running averages that hold a chassis to given limits for exactly the given times, in an uninterrupted load from idle.
 *
 * The first tau is the one with which the average is due to drop when the burst ends: in closed form when power drops at
 * once, else by search, as the controller begins somewhat before the limit. The second average has already risen during
 * the burst (and while power came down from it); its tau brings it to its drop as the short-term stage ends. Both times grow
 * with tau, so there is only one of each.
 *
 * @param limits - burst >= short-term >= sustained
 * @param machine - power at rest, W; the controller's time constant, s; and how it gives way
 * @returns none when the power is flat, else one or two budgets
 * @throws InputError `hold-not-positive`, `powers-not-ordered`
 * @example budgetsFromLimits(
 *   { burstW: 90, burstForS: 36.9, shortTermW: null, shortTermForS: null, sustainedW: 45 },
 *   { idleW: 3, responseS: 0, givesWay: 'headroom' },
 * )[0]?.tauS // 56
 */
export function budgetsFromLimits(
  limits: HeldLimits,
  machine: Pick<LoopMachine, 'idleW' | 'responseS' | 'givesWay'>,
): { readonly limitW: number; readonly tauS: number }[] {
  const { burstW, shortTermW, shortTermForS, sustainedW } = limits
  const burstForS = limits.burstForS === null ? null : untilDrop(limits.burstForS, machine.responseS)
  const first = { limitW: shortTermW ?? sustainedW, burstW }
  const budgets: { limitW: number; tauS: number }[] = []
  const bursts = burstForS !== null && burstW > first.limitW
  if (bursts) budgets.push({ limitW: first.limitW, tauS: firstTimeConstant(burstForS, first, machine) })
  if (shortTermW !== null && shortTermForS !== null && shortTermW > sustainedW) {
    const shortTerm = { powerW: shortTermW, forS: shortTermForS }
    const tauS = bursts
      ? secondTimeConstant([{ powerW: burstW, forS: burstForS }, shortTerm], sustainedW, machine)
      : firstTimeConstant(shortTermForS, { limitW: sustainedW, burstW: shortTermW }, machine)
    budgets.push({ limitW: sustainedW, tauS })
  }
  return budgets
}

/** When the controller begins, for a hold that ends half way down; very short holds keep a fifth of their time. */
function untilDrop(holdS: number, responseS: number): number {
  return holdS > 0 ? Math.max(0.2 * holdS, holdS - halfWayS(responseS)) : holdS
}

interface HeldStage {
  readonly powerW: number
  readonly forS: number
}

function firstTimeConstant(
  holdS: number,
  { limitW, burstW }: { readonly limitW: number; readonly burstW: number },
  machine: Pick<LoopMachine, 'idleW' | 'responseS' | 'givesWay'>,
): number {
  const abruptS = timeConstantFromHold(holdS, { idleW: machine.idleW, limitW, burstW })
  if (machine.givesWay === 'latch' || machine.responseS === 0) return abruptS
  return risingRoot(
    abruptS,
    (tauS) =>
      averageAtDrop(machine, { limitW, tauS }, burstW) -
      averageAfter(machine.idleW, { powerW: burstW, forS: holdS, tauS }),
  )
}

function secondTimeConstant(
  [burst, shortTerm]: readonly [HeldStage, HeldStage],
  limitW: number,
  machine: Pick<LoopMachine, 'idleW' | 'responseS' | 'givesWay'>,
): number {
  const { idleW, responseS } = machine
  const atEnd = (tauS: number) => {
    const afterBurstW = averageAfter(idleW, { ...burst, tauS })
    const glide = { fromW: burst.powerW, towardW: shortTerm.powerW, responseS }
    return averageAfterRelaxation(afterBurstW, { ...glide, forS: shortTerm.forS, tauS })
  }
  // A smaller tau would have dropped during the burst already.
  const leastS = timeConstantFromHold(burst.forS, { idleW, limitW, burstW: burst.powerW })
  return risingRoot(
    leastS,
    (tauS) => averageAtDrop(machine, { limitW, tauS }, shortTerm.powerW) - atEnd(tauS),
  )
}

/** Zero of a headroom that rises with tau, at or above `least`. */
function risingRoot(least: number, headroomW: (tauS: number) => number): number {
  let high = 2 * least
  while (headroomW(high) < 0) high *= 2
  // Rounding may leave the least a hair's breadth above the zero.
  return headroomW(least) < 0 ? findRoot(headroomW, [least, high]) : least
}
