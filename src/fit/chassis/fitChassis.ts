import { InputError } from '../../errors.js'
import type { Trace } from '../../log/trace.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import type { HoldLabel, Load } from '../../segment/load.js'
import type { Warning } from '../../warnings.js'
import { assembleChassis } from './assembleChassis.js'
import { averageSwings } from './averageSwings.js'
import { checkOneConstant } from './checkOneConstant.js'
import { type ChassisFit, chooseChassisFit, chooseWithoutHeat } from './chooseChassisFit.js'
import { coarsenRecord } from './coarsenRecord.js'
import { fitRecordNetwork, type ThermalFit } from './fitThermalNetwork.js'
import { type LoadRecord, makeLoadRecord } from './loadRecord.js'
import { matchSteadyPower } from './matchSteadyPower.js'
import { withFirstBurst } from './withFirstBurst.js'

/** One logged trial of a machine. */
export interface ChassisTrial {
  readonly trace: Trace
  readonly loads: readonly Load[]
  /** Power mode, where the sheet names one. */
  readonly mode?: string | null
}

/** A chassis as fitted, with what it says about the workload and how far to trust it. */
export interface FittedChassis {
  readonly chassis: Chassis
  /** What was found to hold the power. */
  readonly kind: ChassisFit['kind']
  /** Power at which the workload asked for no more, W; null unless nothing held it down and the log shows that it was the task. */
  readonly demandW: number | null
  readonly warnings: readonly Warning[]
}

/**
 * Fits what decides a machine's power, and for how long, from its logs.
 *
 * The longest load is explained in closed loop, all runs and pauses at once, by power budgets, a timed step, heat, or nothing
 * at all (`chooseChassisFit`). A temperature column gives the thermal network beside it, with the ceiling where heat was what
 * held the power. Holds are those of an uninterrupted load from idle, as the fitted machine would show them.
 *
 * @param test.trials - at least one with a load
 * @param test.ambientC - room temperature, degrees C; null when not noted (the network's own zero is used then)
 * @param test.thermal - false: the network is fitted only where heat may be what holds the power, and `thermal` is null unless
 * it is; left out: always, where there is a temperature
 * @throws InputError `no-load`
 * @example fitChassis({ name: 'Heron slim', trials: [{ trace, loads: findLoads(trace) }], ambientC: 22 }).chassis.sustainedW
 */
export function fitChassis(test: {
  readonly name: string
  readonly trials: readonly ChassisTrial[]
  readonly ambientC: number | null
  readonly thermal?: boolean
}): FittedChassis {
  const { trial, load, index } = longestLoad(test.trials)
  const measured = coarsenRecord(
    makeLoadRecord(trial.trace, load, trial.loads[index - 1]?.endS),
    MOST_SAMPLES,
  )
  const record = load.stages.some(({ cycle }) => cycle !== undefined) ? averageSwings(measured) : measured
  const label = load.stages.at(-1)?.heldBy.label ?? 'undetermined'
  const network = once(() => fitRecordNetwork(measured))
  const { fit, misfit, fails } = steadyFit(record, load, network)
  return {
    chassis: assembleChassis({
      name: test.name,
      ambientC: test.ambientC,
      record,
      load,
      fit,
      network: test.thermal === false && fit.kind !== 'heat' ? null : network(),
    }),
    kind: fit.kind,
    demandW: fit.kind === 'flat' && label === 'demand' ? load.sustained.levelW.value : null,
    warnings: [
      ...mixedModes(test.trials),
      ...cautions(record, load, label, fit),
      ...(fails ? [{ code: 'chassis-misses-steady' as const, missedPct: 100 * Math.expm1(-misfit!) }] : []),
      ...(fit.kind === 'budgets' ? checkOneConstant(record, fit) : []),
    ],
  }
}

/**
 * The fit, matched to the power that the load ends with. A model that misses it by more than the 90 % interval of what heat holds
 * fails; where it is one of heat, set limits take its place, so that no heat is projected with it.
 */
function steadyFit(
  record: LoadRecord,
  load: Load,
  network: () => ThermalFit | null,
): { readonly fit: ChassisFit; readonly misfit: number | null; readonly fails: boolean } {
  const match = (fit: ChassisFit) => matchSteadyPower(record, withFirstBurst(record, fit))
  const chosen = match(chooseChassisFit(record, load, network))
  const fails = chosen.misfit !== null && Math.abs(chosen.misfit) > MOST_MISSED
  if (!fails || chosen.fit.kind !== 'heat') return { ...chosen, fails }
  return { fit: match(chooseWithoutHeat(record, load)).fit, misfit: chosen.misfit, fails }
}

/** 1.645 times the standard error of what heat holds where even the best controller leaves a misfit (`assembleChassis`). */
const MOST_MISSED = 0.026

/** A value that is made when it is first asked for. */
function once<Value>(make: () => Value): () => Value {
  let made: { readonly value: Value } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

function longestLoad(trials: readonly ChassisTrial[]): { trial: ChassisTrial; load: Load; index: number } {
  let longest: { trial: ChassisTrial; load: Load; index: number } | null = null
  for (const trial of trials) {
    trial.loads.forEach((load, index) => {
      const lengthS = load.endS - load.startS
      if (!longest || lengthS > longest.load.endS - longest.load.startS) longest = { trial, load, index }
    })
  }
  if (!longest) {
    throw new InputError('no-load', 'expected a log with a load in it, got none', {
      remedy: 'log the power while the task runs, from idle until it has settled',
    })
  }
  return longest
}

function mixedModes(trials: readonly ChassisTrial[]): Warning[] {
  const modes = [...new Set(trials.map((trial) => trial.mode ?? 'unnamed'))]
  return modes.length > 1 ? [{ code: 'modes-mixed', modes }] : []
}

function cautions(record: LoadRecord, load: Load, label: HoldLabel, fit: ChassisFit): Warning[] {
  const warnings: Warning[] = []
  if (!record.idleSeen) warnings.push({ code: 'idle-not-seen', supposedW: record.idleW })
  if (!load.sustained.reached) warnings.push({ code: 'not-settled', atS: load.endS })
  if (label === 'power-limit' && fit.kind === 'heat') warnings.push({ code: 'heat-explains-better' })
  if (fit.kind === 'timed') warnings.push({ code: 'timed-step-explains-better' })
  // Over half a noise width of systematic misfit on average: the model misses something that is not noise.
  if (fit.cost > POOR_FIT * fit.samples) {
    warnings.push({ code: 'chassis-fit-poor', noiseWidths: Math.sqrt(fit.cost / fit.samples) })
  }
  return warnings
}

/** Samples beyond which a finer record fits no better, only slower. */
const MOST_SAMPLES = 1600
/** Cost per sample from which a fit leaves out more than noise: a controller's own habits, drifting limits. */
const POOR_FIT = 9
