import { averageAfter, averageAfterRelaxation, timeConstantFromHold } from '../curves/powerBudget.js'
import type { TargetLimits } from './projection.js'

/**
 * The running averages that hold a chassis to given limits for exactly the given times, in an uninterrupted load from idle.
 *
 * One limit: tau follows from the hold in closed form. Two limits: the second average has already risen during the burst
 * (and while power came down from it), so its tau is the one for which it arrives at `sustainedW` when the short-term
 * stage ends; it falls as tau grows, so bisection finds the only one.
 *
 * @param limits - burst >= short-term >= sustained, W, each hold from its own stage's start, s
 * @param machine - power at rest, W, and the controller's time constant, s
 * @returns none when the power is flat, else one or two budgets
 * @throws InputError `hold-not-positive`, `powers-not-ordered`
 * @example budgetsFromLimits(
 *   { burstW: 90, burstForS: 36.9, shortTermW: null, shortTermForS: null, sustainedW: 45 },
 *   { idleW: 3, responseS: 0 },
 * )[0]?.tauS // 56
 */
export function budgetsFromLimits(
  limits: TargetLimits,
  machine: { readonly idleW: number; readonly responseS: number },
): { readonly limitW: number; readonly tauS: number }[] {
  const { burstW, burstForS, shortTermW, shortTermForS, sustainedW } = limits
  const firstW = shortTermW ?? sustainedW
  const budgets: { limitW: number; tauS: number }[] = []
  const bursts = burstForS !== null && burstW > firstW
  if (bursts) {
    budgets.push({
      limitW: firstW,
      tauS: timeConstantFromHold(burstForS, { idleW: machine.idleW, limitW: firstW, burstW }),
    })
  }
  if (shortTermW !== null && shortTermForS !== null && shortTermW > sustainedW) {
    const burst = bursts ? { powerW: burstW, forS: burstForS } : null
    const shortTerm = { powerW: shortTermW, forS: shortTermForS }
    budgets.push({ limitW: sustainedW, tauS: secondTimeConstant(burst, shortTerm, sustainedW, machine) })
  }
  return budgets
}

interface HeldStage {
  readonly powerW: number
  readonly forS: number
}

function secondTimeConstant(
  burst: HeldStage | null,
  shortTerm: HeldStage,
  limitW: number,
  { idleW, responseS }: { readonly idleW: number; readonly responseS: number },
): number {
  if (!burst) return timeConstantFromHold(shortTerm.forS, { idleW, limitW, burstW: shortTerm.powerW })
  const averageAtDrop = (tauS: number) => {
    const afterBurstW = averageAfter(idleW, { ...burst, tauS })
    return responseS > 0
      ? averageAfterRelaxation(afterBurstW, {
          fromW: burst.powerW,
          towardW: shortTerm.powerW,
          responseS,
          forS: shortTerm.forS,
          tauS,
        })
      : averageAfter(afterBurstW, { ...shortTerm, tauS })
  }
  // A smaller tau would have dropped during the burst already.
  let low = timeConstantFromHold(burst.forS, { idleW, limitW, burstW: burst.powerW })
  let high = 2 * low
  while (averageAtDrop(high) > limitW) high *= 2
  for (let i = 0; i < 100 && high - low > 1e-12 * high; i++) {
    const middle = (low + high) / 2
    if (averageAtDrop(middle) > limitW) low = middle
    else high = middle
  }
  return (low + high) / 2
}
