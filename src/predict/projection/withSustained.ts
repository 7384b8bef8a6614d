import { totalResistance } from '../../physics/chassis/thermalNetwork.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'

/** Power that a machine holds without end, W: the least of its limits. */
export function settledPower(machine: LoopMachine): number {
  const heatW = machine.heat
    ? machine.heat.ceilingRiseK / totalResistance(machine.heat.stages)
    : machine.peakW
  const limits = [...machine.budgets, ...machine.timedSteps].map(({ limitW }) => limitW)
  return Math.min(machine.peakW, heatW, ...limits)
}

/**
 * The same machine with another sustained power: bursts, time constants and the way it recovers stay as they are.
 *
 * Whatever holds the power in the end is moved to the new level: the lowest budget or timed step, or the ceiling (so that its
 * steady state allows just that). Limits that the new level overtakes fall away; a peak below it is raised to it.
 *
 * @param sustainedW - > 0
 */
export function withSustained(machine: LoopMachine, sustainedW: number): LoopMachine {
  const nowW = settledPower(machine)
  const holds = (limitW: number) => limitW <= nowW * (1 + 1e-9)
  const moved = <Limit extends { readonly limitW: number }>(limits: readonly Limit[]) =>
    limits
      .filter(({ limitW }) => holds(limitW) || limitW > sustainedW)
      .map((limit) => (holds(limit.limitW) ? { ...limit, limitW: sustainedW } : limit))
  const { heat } = machine
  const heatW = heat ? heat.ceilingRiseK / totalResistance(heat.stages) : Number.POSITIVE_INFINITY
  return {
    ...machine,
    peakW: holds(machine.peakW) ? sustainedW : Math.max(machine.peakW, sustainedW),
    budgets: moved(machine.budgets),
    timedSteps: moved(machine.timedSteps),
    heat:
      heat && (holds(heatW) || heatW < sustainedW)
        ? { ...heat, ceilingRiseK: heat.ceilingRiseK * (sustainedW / heatW) }
        : heat,
  }
}
