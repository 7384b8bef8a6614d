import { quantile } from '../../numeric/statistics/quantile.js'
import { stagesOfShares, type ThermalStage } from '../../physics/chassis/thermalNetwork.js'
import { budgetsFromLimits } from '../../physics/loop/budgetsFromLimits.js'
import { type LoopMachine, TYPICAL_RESPONSE_S } from '../../physics/loop/loopMachine.js'
import type { HeldLevels } from './findHeldLevels.js'
import { fitHeatBudget, type HeatBudgetFit } from './fitHeatBudget.js'
import { fitHeldPower, GOOD_FIT, type HeldPowerFit } from './fitHeldPower.js'
import type { ThermalFit } from './fitThermalNetwork.js'
import type { LoadRecord } from './loadRecord.js'

/** A machine that heat holds down, perhaps after a budget. Parameters: burst, ceiling, the controller's
 * two gains, then a budget's two. */
export interface HeatFit extends HeldPowerFit {
  readonly kind: 'heat'
  /** From power and temperature; null without a temperature column, `budget` tells it then. */
  readonly network: ThermalFit | null
  readonly budget: HeatBudgetFit | null
  /** Rise over `network.zeroPowerC` at which power gives way, K; the budget's limit in W without a network. */
  readonly ceilingRise: number
}

/**
 * Fits a load whose power gives way to heat: the thermal network is given (or, without one, a
 * heat budget is found from the power alone); burst and ceiling, and a budget before it, come from the measured power in closed loop.
 *
 * The ceiling is where the power says it is, not the thermometer: so the watts that the machine holds are reproduced even when
 * its controller lets the temperature hover somewhat off its set point.
 */
export function fitHeatHold(
  record: LoadRecord,
  levels: HeldLevels,
  network: ThermalFit | null,
): HeatFit | null {
  const yields = yieldingSamples(record, levels)
  const budget = network ? null : fitHeatBudget(record, yields)
  const source: HeatSource | null = network
    ? { network, budget: null, stages: network.stages }
    : budget && { network: null, budget, stages: stagesOfShares(budget.terms) }
  if (!source) return null
  let best: HeatFit | null = null
  // Whether pauses put the controller to rest shows only where there are some.
  for (const restsInPauses of record.passes.length > 1 ? [false, true] : [false]) {
    for (const first of plateausOf(levels)) {
      if (best && best.cost < GOOD_FIT * best.samples) return best
      const fit = fitSource(record, levels, source, { first, restsInPauses })
      if (!best || fit.cost < best.cost) best = fit
    }
    if (best && best.cost < RIGHT_CONTROLLER * best.samples) return best
  }
  return best
}

/** Cost per sample of a fit whose controller is the right one, whatever else it misses. */
const RIGHT_CONTROLLER = 3

/** Time in which a heat controller makes up for an offset, s, where a fit starts: a few seconds; common practice, no source. */
const CONTROL_RESET_S = 3

/** Gains are known to an order of magnitude only: a full first step goes to a bound of theirs, where the controller swings and no slope leads back. */
const FIRST_RADIUS = 0.03

type HeatSource =
  | { readonly network: ThermalFit; readonly budget: null; readonly stages: readonly ThermalStage[] }
  | { readonly network: null; readonly budget: HeatBudgetFit; readonly stages: readonly ThermalStage[] }

interface Plateau {
  readonly limitW: number
  readonly holdS: number
}

/** Heat alone, and heat after a budget that ends the burst at a flat level. */
function plateausOf(levels: HeldLevels): (Plateau | null)[] {
  const { shortTermW, firstDropS } = levels
  if (shortTermW === null || firstDropS === null || !(firstDropS > 0)) return [null]
  return [null, { limitW: shortTermW, holdS: firstDropS }]
}

/** Power between the plateau before and somewhat above idle, once power has begun to give way. */
function yieldingSamples(record: LoadRecord, levels: HeldLevels): (index: number) => boolean {
  const fromS = levels.firstDropS ?? 0
  const belowW = 0.97 * (levels.shortTermW ?? levels.burstW)
  return (i) => record.fromS[i]! > fromS && record.powerW[i]! < belowW
}

function fitSource(
  record: LoadRecord,
  levels: HeldLevels,
  source: HeatSource,
  { first, restsInPauses }: { readonly first: Plateau | null; readonly restsInPauses: boolean },
): HeatFit {
  const idleW = record.idleW
  const startRise = source.network ? pinnedRise(record, levels, source.network) : source.budget.limitW
  const budget = first ? startingBudget(levels.burstW, first, idleW) : null
  const wPerK = levels.sustainedW / startRise
  const machine = ([peakW, ceilingRiseK, gain, reset, limitW, tauS]: readonly number[]): LoopMachine => ({
    idleW,
    peakW: peakW!,
    responseS: TYPICAL_RESPONSE_S,
    givesWay: 'headroom',
    budgets: budget ? [{ limitW: limitW!, tauS: tauS! }] : [],
    heat: {
      stages: source.stages,
      ceilingRiseK: ceilingRiseK!,
      control: { wPerK: gain!, wPerKS: reset!, ...(restsInPauses ? { restsInPauses } : {}) },
    },
    timedSteps: [],
  })
  const fit = fitHeldPower(record, {
    start: [
      levels.burstW,
      startRise,
      wPerK,
      wPerK / CONTROL_RESET_S,
      ...(budget ? [budget.limitW, budget.tauS] : []),
    ],
    within: [1.04, 1.2, 30, 30, ...(budget ? [1.04, 8] : [])],
    ...(budget ? {} : { firstRadius: FIRST_RADIUS }),
    machine,
  })
  return {
    kind: 'heat',
    ...fit,
    network: source.network,
    budget: source.budget,
    ceilingRise: fit.parameters[1]!,
  }
}

function startingBudget(burstW: number, { limitW, holdS }: Plateau, idleW: number) {
  return budgetsFromLimits(
    { burstW, burstForS: holdS, shortTermW: null, shortTermForS: null, sustainedW: limitW },
    { idleW: Math.min(idleW, 0.9 * limitW), responseS: 0, givesWay: 'latch' },
  )[0]!
}

function pinnedRise(record: LoadRecord, levels: HeldLevels, network: ThermalFit): number {
  const yields = yieldingSamples(record, levels)
  const hot: number[] = []
  record.pass.forEach((pass, i) => {
    const temperature = record.temperatureC![i]!
    if (pass >= 0 && yields(i) && Number.isFinite(temperature)) hot.push(temperature)
  })
  const all = Array.from(record.temperatureC!).filter(Number.isFinite)
  return Math.max(1, quantile(hot.length > 5 ? hot : all, hot.length > 5 ? 0.5 : 0.98) - network.zeroPowerC)
}
