import type { ThermalStage } from '../chassis/thermalNetwork.js'

/**
 * How a budget brings power down. `headroom`: power follows L + (L - a) (tau / response - 1), so that it glides to the limit
 * with the response time as its average arrives there from below. `latch`: nothing happens before the average is at the limit;
 * then power glides down, and stays there until the average has fallen by `LATCH_RELEASE`.
 */
export type GivesWay = 'headroom' | 'latch'

/** Share of its limit by which a latched average must fall before power is free again; common practice, no source. */
export const LATCH_RELEASE = 0.03

/** A running average that may not exceed its limit. */
export interface LoopBudget {
  readonly limitW: number
  readonly tauS: number
  /** Time constant with which the average falls while power is below it, s; left out: `tauS`. */
  readonly recoveryS?: number
  /** Left out: as the machine's other budgets. */
  readonly givesWay?: GivesWay
}

/** What decides the power at each moment of a loop, all known exactly: one draw of an uncertain chassis and chip. */
export interface LoopMachine {
  /** Power in the pauses and before the load, W. */
  readonly idleW: number
  /** The most that is ever drawn, W: the burst limit, or the workload's demand where that is less. */
  readonly peakW: number
  readonly budgets: readonly LoopBudget[]
  readonly givesWay: GivesWay
  /** What heat does; null where it never decides. */
  readonly heat: HeatLimit | null
  /** Limits that begin a set time after the start of a load, pauses included. */
  readonly timedSteps: readonly { readonly limitW: number; readonly afterS: number }[]
  /** Time constant with which the controller brings power down to a lower level, s; 0: at once. */
  readonly responseS: number
}

/**
 * The same machine, laid out as every other: the engine compiles the steps of a loop for one layout of objects, and again for each
 * further one. Whoever simulates takes it so.
 */
export function laidOut(machine: LoopMachine): LoopMachine {
  const { idleW, peakW, budgets, givesWay, heat, timedSteps, responseS } = machine
  return {
    idleW,
    peakW,
    budgets: budgets.map(({ limitW, tauS, recoveryS, givesWay: own }) => ({
      limitW,
      tauS,
      recoveryS: recoveryS ?? tauS,
      givesWay: own ?? givesWay,
    })),
    givesWay,
    heat: heat && { stages: heat.stages, ceilingRiseK: heat.ceilingRiseK, control: heat.control ?? null },
    timedSteps,
    responseS,
  }
}

/** Foster network, and the rise over ambient, K, at which power gives way. */
export interface HeatLimit {
  readonly stages: readonly ThermalStage[]
  readonly ceilingRiseK: number
  /** How the controller follows the temperature; left out or null: it keeps it at the ceiling exactly. */
  readonly control?: HeatControl | null
}

/**
 * A proportional and integral controller: it allows I - wPerK (T - ceiling), where I falls by `wPerKS` each second for each
 * kelvin above the ceiling, rises as fast below it, and never exceeds the machine's peak. I is kept over pauses, unless
 * `restsInPauses`.
 */
export interface HeatControl {
  readonly wPerK: number
  readonly wPerKS: number
  /** Whether every pause puts the controller back to rest; left out: no. */
  readonly restsInPauses?: boolean
}

/**
 * Gain of a budget that gives way with its headroom, W of allowed power per W of headroom: tau / response - 1, which makes
 * power and average glide with exactly `responseS`. Infinite without a response time; at least 1, so that it stays a glide.
 *
 * @source allowed = L + g (L - a) in a' = (P - a)/tau has the rate (1 + g)/tau
 */
export function headroomGain(tauS: number, responseS: number): number {
  return responseS > 0 ? Math.max(1, tauS / responseS - 1) : Number.POSITIVE_INFINITY
}

/**
 * Average at which a budget begins to bring down a load that runs at `powerW`: the limit itself, or somewhat below it when
 * it gives way with its headroom.
 */
export function averageAtDrop(
  machine: Pick<LoopMachine, 'givesWay' | 'responseS'>,
  budget: LoopBudget,
  powerW: number,
): number {
  if ((budget.givesWay ?? machine.givesWay) === 'latch') return budget.limitW
  return budget.limitW - (powerW - budget.limitW) / headroomGain(budget.tauS, machine.responseS)
}

/**
 * How long a controller takes to bring power down, s, where a test doesn't tell (no drop by a set limit in it): about what
 * logs show; common practice, no source.
 */
export const TYPICAL_RESPONSE_S = 1

/**
 * From when a controller begins to bring power down to when power is half way there: response x ln 2, s. Holds are counted up
 * to then, as a reader of a trace would.
 */
export function halfWayS(responseS: number): number {
  return responseS * Math.LN2
}
