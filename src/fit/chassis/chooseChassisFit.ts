import type { Load, Stage } from '../../segment/load.js'
import { findHeldLevels, type HeldLevels } from './findHeldLevels.js'
import { type BudgetFit, fitBudgets } from './fitBudgets.js'
import { fitHeatHold, type HeatFit } from './fitHeatHold.js'
import { fitHeldPower, GOOD_FIT, type HeldPowerFit } from './fitHeldPower.js'
import type { ThermalFit } from './fitThermalNetwork.js'
import { fitTimedStep, type TimedFit } from './fitTimedStep.js'
import type { LoadRecord } from './loadRecord.js'

export type ChassisFit = BudgetFit | TimedFit | HeatFit | FlatFit

/**
 * Explains a load by whichever of power budgets, a timed step, heat, or nothing at all reproduces its measured power best.
 *
 * Each is fitted in closed loop, from a second set of starting levels (the stages' instead of the record's own) where the first
 * leaves more than noise; fits are compared by the Bayes information criterion. What the stages were held by decides between heat and set limits unless the other explains the power
 * at least `CLEARLY` better; budgets come before a timed step that is no better, since one load without pauses can't tell them
 * apart.
 *
 * @param network - the record's thermal network, asked for where heat is tried
 * @source G. Schwarz (1978), Annals of Statistics 6, 461-464
 */
export function chooseChassisFit(
  record: LoadRecord,
  load: Load,
  network: () => ThermalFit | null,
): ChassisFit {
  const label = load.stages.at(-1)?.heldBy.label ?? 'undetermined'
  const starts = startingLevels(record, load)
  const dropped = starts.filter((levels) => levels.firstDropS !== null)
  if (dropped.length === 0) return fitFlat(record, starts[0]!)
  const limit = () => firstGood(record, dropped, (levels) => limitedFit(record, levels, label !== 'heat'))
  const heat = () => firstGood(record, dropped, (levels) => fitHeatHold(record, levels, network()))
  const [expected, other] = label === 'heat' ? [heat(), limit] : [limit(), heat]
  const enough = label === 'undetermined' ? GOOD_FIT : WORTH_A_SECOND_TRY
  if (expected && expected.cost < enough * expected.samples) return expected
  const share = label === 'undetermined' ? 1 : CLEARLY
  return preferred(expected, other(), share) ?? fitFlat(record, starts[0]!)
}

/** What explains a load best when heat may not: set limits, or one level where there is no drop. */
export function chooseWithoutHeat(record: LoadRecord, load: Load): ChassisFit {
  const starts = startingLevels(record, load)
  const dropped = starts.filter((levels) => levels.firstDropS !== null)
  return (
    firstGood<ChassisFit>(record, dropped, (levels) => limitedFit(record, levels, true)) ??
    fitFlat(record, starts[0]!)
  )
}

/** A fit that the label speaks against must have at most this share of the other's cost. */
const CLEARLY = 0.5
/** Cost per sample below which other starting levels, or explanations that the stages speak against, are not worth the time. */
const WORTH_A_SECOND_TRY = 4

function startingLevels(record: LoadRecord, load: Load): HeldLevels[] {
  const starts = [findHeldLevels(record), levelsFromStages(record, load)].filter((levels) => levels !== null)
  const fallback = { shortTermW: null, firstDropS: null, secondDropS: null }
  const levelW = Math.max(1e-3, load.sustained.levelW.value)
  return starts.length > 0 ? starts : [{ ...fallback, burstW: levelW, sustainedW: levelW }]
}

function limitedFit(record: LoadRecord, levels: HeldLevels, expected: boolean): BudgetFit | TimedFit | null {
  const budgets = fitBudgets(record, levels, expected)
  // A timed step differs from a budget only in what follows a pause.
  if (record.passes.length < 2 && budgets) return budgets
  // An average that hardly falls in pauses looks like a step that came for good.
  const recovers = budgets?.machine.budgets.some(({ recoveryS }) => recoveryS !== undefined)
  if (budgets && !recovers && budgets.cost < GOOD_FIT * budgets.samples) return budgets
  return bestOf(record, [budgets, fitTimedStep(record, levels)])
}

function preferred(expected: ChassisFit | null, other: ChassisFit | null, share: number): ChassisFit | null {
  if (!expected || !other) return expected ?? other
  return other.cost < share * expected.cost ? other : expected
}

/** The first fit that leaves little but noise, else the best of all starts; where these differ in how many drops there are, all are tried. */
function firstGood<Fit extends ChassisFit>(
  record: LoadRecord,
  starts: readonly HeldLevels[],
  attempt: (levels: HeldLevels) => Fit | null,
): Fit | null {
  const fits: (Fit | null)[] = []
  const agree = starts.every((levels) => (levels.secondDropS === null) === (starts[0]!.secondDropS === null))
  for (const levels of starts) {
    const made = attempt(levels)
    if (agree && made && made.cost < WORTH_A_SECOND_TRY * made.samples) return made
    fits.push(made)
  }
  return bestOf(record, fits)
}

function bestOf<Fit extends ChassisFit>(record: LoadRecord, fits: readonly (Fit | null)[]): Fit | null {
  const made = fits.filter((fit): fit is Fit => fit !== null)
  if (made.length === 0) return null
  const least = Math.min(...made.map((fit) => fit.cost / fit.samples))
  const criterion = (fit: Fit) =>
    fit.cost / Math.max(1, least) + fit.parameters.length * Math.log(Math.max(2, record.toS.length))
  return made.reduce((a, b) => (criterion(b) < criterion(a) ? b : a))
}

/** A machine that nothing holds down: the workload's demand throughout. Parameter: its power. */
interface FlatFit extends HeldPowerFit {
  readonly kind: 'flat'
}

/** Fits one level to a whole load: what a chassis that never holds its chip down shows. */
function fitFlat(record: LoadRecord, levels: HeldLevels): FlatFit {
  const fit = fitHeldPower(record, {
    start: [levels.sustainedW],
    within: [3],
    machine: ([peakW]) => ({
      idleW: record.idleW,
      peakW: peakW!,
      responseS: 0,
      givesWay: 'latch',
      budgets: [],
      heat: null,
      timedSteps: [],
    }),
  })
  return { kind: 'flat', ...fit }
}

/**
 * The levels and drops of a load as its stages tell them: another set of starting points for the fit of a chassis.
 *
 * @returns null when there are no stages or they don't fall
 */
function levelsFromStages(record: LoadRecord, load: Load): HeldLevels | null {
  const [first, ...rest] = load.stages
  if (!first) return null
  const burstW = first.levelW.value
  const sustainedW = Math.min(load.sustained.levelW.value, burstW)
  const sinceStart = (stage: Stage) => stage.startS - load.startS
  const drop = rest.find((stage) => levelAtStart(stage) < 0.98 * burstW || stage.shape === 'decay')
  if (!drop) return null
  const between = rest.find(
    (stage) =>
      stage.shape === 'level' &&
      stage.levelW.value < 0.97 * burstW &&
      stage.levelW.value > 1.03 * sustainedW &&
      stage.endS - stage.startS > 5 * record.intervalS,
  )
  const after =
    between && rest.slice(rest.indexOf(between) + 1).find((s) => s.levelW.value < between.levelW.value)
  return {
    burstW,
    shortTermW: between?.levelW.value ?? null,
    sustainedW,
    firstDropS: Math.max(0.2 * record.intervalS, sinceStart(drop)),
    secondDropS: after ? sinceStart(after) : null,
  }
}

function levelAtStart(stage: Stage): number {
  return stage.decay ? stage.decay.fromW : stage.levelW.value
}
