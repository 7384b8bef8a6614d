import { ESTIMATE_LEVEL, type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import { kroneckerPoint } from '../../numeric/statistics/kroneckerPoint.js'
import { normalScore } from '../../numeric/statistics/normalQuantile.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import { simulateLoop } from '../../physics/loop/simulateLoop.js'
import type { LoopSegment } from '../../physics/loop/simulateRun.js'
import { machineFromChassis, scoresNeeded } from '../projection/machineFromChassis.js'
import type { PlanReason } from './planReason.js'
import type { PlanRequest } from './planRequest.js'

/** When the power of a loop is settled, and how short its bursts become. */
export interface Settling {
  readonly settleS: Estimate
  /** Shortest time at the highest power in any run, s; null when the power is flat. */
  readonly shortestBurstS: number | null
  readonly reason: PlanReason
}

/**
 * Runs the loop in machines drawn from the fitted chassis and finds when run means stay within 2 % of where they end; without
 * runs, when the power of an uninterrupted load does.
 */
export function planSettling({ chassis, loop, settled }: PlanRequest): Settling {
  const outcomes = drawMachines(chassis, DRAWS).map((machine) => settlingOf(machine, loop))
  const bursts = outcomes.map((o) => o.burstS).filter((s): s is number => s !== null)
  const shortestBurstS = bursts.length > 0 ? estimateFromDraws({ values: bursts }).value : null
  if (!settled.reached) {
    const { loadS } = settled
    const settleS = { value: 2 * loadS, low: loadS, high: 4 * loadS, level: ESTIMATE_LEVEL }
    return { settleS, shortestBurstS, reason: { code: 'not-settled-yet', loadS } }
  }
  const found = estimateFromDraws({ values: outcomes.map((o) => o.settleS) })
  // Run means tell the time only to half a run either way.
  const halfRunS = loop.runS === null || loop.gapS < LEAST_PAUSE_S ? 0 : (loop.runS + loop.gapS) / 2
  const settleS = {
    ...found,
    low: Math.max(0, found.low - halfRunS),
    high: found.value > 0 ? found.high + halfRunS : found.high,
  }
  return { settleS, shortestBurstS, reason: reasonOf(chassis) }
}

const DRAWS = 48
/** Nearer than this to where it ends, power counts as settled. */
const SETTLED_SHARE = 0.02
/** Shorter pauses leave the power of a load unbroken. */
const LEAST_PAUSE_S = 0.5
/** Long enough for any budget or heat sink of a machine that people carry. */
const LONG_S = 2 * 3600

function settlingOf(
  machine: LoopMachine,
  { gapS, runS }: PlanRequest['loop'],
): { readonly settleS: number; readonly burstS: number | null } {
  const segments: LoopSegment[] = []
  const unbroken = runS === null || gapS < LEAST_PAUSE_S
  const durationS = unbroken ? LONG_S : runS
  const runs = simulateLoop(
    machine,
    { runs: Math.max(1, Math.ceil(LONG_S / (durationS + gapS))), gapS, work: null, durationS, rate: () => 1 },
    (segment) => segments.push(segment),
  )
  const stretches = unbroken
    ? segments.map(({ startS, forS, powerW }) => ({ endS: startS + forS, powerW }))
    : runs.map((run) => ({ endS: run.startS + run.durationS + gapS, powerW: run.energyJ / run.durationS }))
  const [lowW, highW] = endBand(stretches)
  const unsettled = stretches.filter(
    ({ powerW }) => powerW < (1 - SETTLED_SHARE) * lowW || powerW > (1 + SETTLED_SHARE) * highW,
  )
  return { settleS: unsettled.at(-1)?.endS ?? 0, burstS: shortestBurst(segments, machine) }
}

/**
 * Lowest and highest power of the last quarter: bursts that come back every few runs repeat for ever, and a loop of them has settled
 * when it is within what it repeats.
 */
function endBand(stretches: readonly { readonly endS: number; readonly powerW: number }[]): [number, number] {
  const fromS = 0.75 * stretches.at(-1)!.endS
  const last = stretches.filter(({ endS }) => endS >= fromS).map(({ powerW }) => powerW)
  return [Math.min(...last), Math.max(...last)]
}

function shortestBurst(segments: readonly LoopSegment[], machine: LoopMachine): number | null {
  let shortest: number | null = null
  let atPeakS = 0
  for (const { powerW, forS } of segments) {
    if (powerW >= 0.99 * machine.peakW) atPeakS += forS
    else {
      // Only a burst that a limit ended counts, not one that the run's end cut off.
      if (atPeakS > 0 && powerW > machine.idleW) shortest = Math.min(shortest ?? atPeakS, atPeakS)
      atPeakS = 0
    }
  }
  return shortest
}

function reasonOf({ budgets, timedSteps, thermal, heatBudget }: PlanRequest['chassis']): PlanReason {
  const slowest = (taus: readonly number[]) => Math.max(...taus)
  if (thermal && thermal.ceilingC !== null) {
    return { code: 'settles', by: 'heat', slowestS: slowest(thermal.stages.map((stage) => stage.tauS)) }
  }
  if (heatBudget)
    return { code: 'settles', by: 'heat', slowestS: slowest(heatBudget.terms.map((term) => term.tauS)) }
  if (timedSteps.length > 0) {
    return {
      code: 'settles',
      by: 'timed-step',
      slowestS: slowest(timedSteps.map((step) => step.afterS.value)),
    }
  }
  if (budgets.length > 0) {
    return {
      code: 'settles',
      by: 'budget',
      slowestS: slowest(budgets.flatMap(({ tauS, recoveryS = tauS }) => [tauS.value, recoveryS.value])),
    }
  }
  return { code: 'settles-at-once' }
}

/** So many equally probable machines out of those that a fitted chassis leaves possible, evenly spread. */
export function drawMachines(chassis: Chassis, count: number): LoopMachine[] {
  const needed = scoresNeeded(chassis)
  return Array.from({ length: count }, (_, k) => {
    const scores = kroneckerPoint(k, needed).map(normalScore)
    return machineFromChassis(chassis, { demandW: null }, scores)
  })
}
