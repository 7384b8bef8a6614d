import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { APPROACH_S, endPower } from '../cut/part.js'
import type { HeldBy } from '../load.js'
import type { DraftStage } from './draftStage.js'
import { cycleOf, explainCycles } from './explainCycles.js'
import { celsiusIn, explainGradual } from './explainGradual.js'
import { fallsSteadily } from './fallsSteadily.js'
import { fallsUnderHeat, type RunFalls } from './fallsUnderHeat.js'
import { columnEvidence, type LogContext, missingColumns, valuesIn } from './holdEvidence.js'
import {
  climbsAgain,
  comesBack,
  type Decline,
  fallPct,
  fallsBack,
  isEarlySag,
  isShallow,
  lastDecline,
  wanders,
} from './lastDecline.js'

/**
 * What held the power in one stage, with the evidence in words.
 *
 * Columns of the log that name the cause speak first; see `columnEvidence`. Else the last decline before or in the stage tells. An abrupt one
 * is a set limit: heat moves slower than a controller. A gradual one is heat if temperature stays where it was, a set limit that
 * eases in if temperature falls far below, and can't be told without a temperature. Without a decline only power that rises
 * with temperature tells: nothing clamps it, so it is what the task asks for.
 */
export function explainHold(
  trace: Trace,
  drafts: readonly DraftStage[],
  index: number,
  log: LogContext,
): HeldBy {
  const { stretches } = drafts[index]!
  const last = stretches.at(-1)!
  const told = columnEvidence(trace, stretches, endPower(last.part, last.run.series), log)
  const decline = lastDecline(drafts, index)
  const cycle = cycleOf(drafts[index]!)
  const swing = cycle === undefined ? null : explainCycles(trace, drafts[index]!, cycle)
  const seen = swing ?? explainCourse(trace, drafts, index, decline)
  if (told === null) return seen
  const { label, reason, agreeing, belowFull } = told
  // A burst that a limit ended later was near that limit's peak: the highest clock of a log says no more than that.
  const isBurst = decline === undefined && index < drafts.length - 1
  if (isBurst && label === 'demand' && reason === undefined && !belowFull) return seen
  if (belowFull && agreeing === 1 && decline !== undefined && dropsAtSameUse(trace, drafts, index, decline))
    return {
      label: 'undetermined',
      evidence: [
        ...told.evidence,
        'against it: use was as low before the drop, which the task did not ask for then',
      ],
    }
  // A clock or use below full goes with heat as with a limit: temperature that is pinned while power gives way decides, also where
  // nothing but the silence of reasons that know of limits speaks for the task.
  const isOpen = label === 'power-limit' ? !trace.reasons : reason === 'none' && agreeing === 1
  if (seen.label === 'heat' && isOpen) return seen
  if (isOpen && label === 'power-limit' && decline !== undefined && isEarlySag(drafts, index, decline))
    return { ...seen, evidence: [...seen.evidence, ...told.evidence] }
  // What a task does at a time may be held down while it does less and less of it.
  const isClockAlone = label === 'power-limit' && reason === undefined && !trace.limitW
  if (isClockAlone && decline !== undefined && fallsSteadily(trace, drafts))
    return { ...seen, evidence: [...seen.evidence, ...told.evidence] }
  return { label, evidence: [...told.evidence, ...(seen.label === label ? seen.evidence : [])] }
}

/** Use that falls by less than this does not explain a drop, points of a per cent. Common practice, no source. */
const SAME_USE_PCT = 3
/** One thread on each core of two reads so; fewer seldom meet a limit. Common practice, no source. */
const LEAST_USE_PCT = 50

/** Whether power dropped for good while the machine was used as much as before: some threads idle leave use below full, also at a limit. */
function dropsAtSameUse(
  trace: Trace,
  drafts: readonly DraftStage[],
  index: number,
  decline: Decline,
): boolean {
  if (decline.gradual || isShallow(decline)) return false
  if (comesBack(drafts, index, decline) || wanders(drafts) || fallsBack(drafts, decline)) return false
  const from = drafts[decline.index - 1]!.stretches
  // What every run of a loop does anew, the task does.
  if (from.length > 1) return false
  const useOf = (stretches: DraftStage['stretches']) => valuesIn(trace, trace.usePct!, stretches)
  const [before, after] = [useOf(from), useOf(drafts[index]!.stretches)]
  if (before.length === 0 || after.length === 0) return false
  const usePct = quantile(after, 0.5)
  return usePct >= LEAST_USE_PCT && quantile(before, 0.5) - usePct < SAME_USE_PCT
}

function explainCourse(
  trace: Trace,
  drafts: readonly DraftStage[],
  index: number,
  decline: Decline | undefined,
): HeldBy {
  // Power that only rose since is still held by what took it away.
  const falls =
    fallsUnderHeat(trace, runsOf(drafts[index]!)) ??
    (decline === undefined ? undefined : fallsUnderHeat(trace, runsOf(drafts[decline.index]!)))
  if (falls !== undefined) return explainRunFalls(falls)
  if (decline === undefined) return explainUnlimited(trace, drafts)
  if (fallsSteadily(trace, drafts)) return explainSteadyFall(trace)
  if (decline.gradual) {
    // A fan that speeds up gives back part of a deep fall; what gives back most of a shallow one may as well be the task.
    if (isShallow(decline) && climbsAgain(drafts, decline)) return explainWandering(trace)
    return explainGradual(trace, drafts, index, decline)
  }
  if (comesBack(drafts, index, decline) || wanders(drafts)) return explainWandering(trace)
  return fallsBack(drafts, decline) ? explainReturn(trace, decline) : explainAbrupt(trace, decline)
}

/** A rise of power by this share while temperature rises by so many K is leakage that nothing clamps. */
const DRIFT_SHARE = 0.005
const DRIFT_K = 5

function explainUnlimited(trace: Trace, drafts: readonly DraftStage[]): HeldBy {
  if (drafts.length === 1) {
    const drift = explainDrift(trace, drafts[0]!)
    if (drift !== undefined) return drift
  }
  return {
    label: 'undetermined',
    evidence: [
      `nothing has taken power away: it may be what the task asks for, or a limit from the start; ${missingColumns(trace)}`,
    ],
  }
}

/**
 * Power against temperature from the first tenth of a level, when the chip is cool, to its last third; undefined when they don't rise together. How power
 * comes up when work begins is the controller's and the sensor's matter, and no drift.
 */
function explainDrift(trace: Trace, { stretches }: DraftStage): HeldBy | undefined {
  const [fromS, toS] = [stretches[0]!.startS, stretches.at(-1)!.endS]
  const lengthS = toS - fromS
  const upS = fromS + Math.min(APPROACH_S, lengthS / 3)
  const opening = (column: Float64Array) =>
    valuesIn(trace, column, [{ startS: upS, endS: upS + lengthS / 10 }])
  const end = (column: Float64Array) => valuesIn(trace, column, [{ startS: toS - lengthS / 3, endS: toS }])
  if (stretches.length > 1 || !trace.temperatureC) return undefined
  const [early, late] = [opening(trace.powerW), end(trace.powerW)]
  const [cool, warm] = [opening(trace.temperatureC), end(trace.temperatureC)]
  if (early.length < 5 || late.length < 5 || cool.length === 0 || warm.length === 0) return undefined
  const share = quantile(late, 0.5) / quantile(early, 0.5) - 1
  const warmsK = quantile(warm, 0.5) - quantile(cool, 0.25)
  if (share < DRIFT_SHARE || warmsK < DRIFT_K) return undefined
  return {
    label: 'demand',
    evidence: [
      'power never drops during the load',
      `power rises by ${(100 * share).toFixed(1)} % while the chip warms by ${warmsK.toFixed(0)} K: no limit clamps it`,
    ],
  }
}

function explainWandering(trace: Trace): HeldBy {
  return {
    label: 'undetermined',
    evidence: [
      `power drops and comes back: a set limit does not give way by itself, so the task may ask for more and for less; ${missingColumns(trace)}`,
    ],
  }
}

function explainSteadyFall(trace: Trace): HeldBy {
  return {
    label: 'undetermined',
    evidence: [
      `power falls bit by bit to the load's end, by as much late as early: a limit holds a level, and heat takes less and less, so the task may ask for less and less; ${missingColumns(trace)}`,
    ],
  }
}

function explainReturn(trace: Trace, decline: Decline): HeldBy {
  const share = fallPct(decline)
  return {
    label: 'undetermined',
    evidence: [
      `power drops by ${share.toFixed(0)} % to what it was before it rose: a limit, or a task that asks for as much as at first; ${missingColumns(trace)}`,
    ],
  }
}

function explainAbrupt(trace: Trace, decline: Decline): HeldBy {
  const share = fallPct(decline)
  const pace =
    decline.softS > 0
      ? `within ${Math.max(1, Math.ceil(3 * decline.softS))} s`
      : 'from one sample to the next'
  const evidence = [`power drops by ${share.toFixed(0)} % ${pace}`]
  const before = celsiusIn(trace, decline.atS - Math.max(2, 2 * trace.intervalS), decline.atS)
  const untilS = Math.min(decline.atS + 40, decline.untilS)
  const after = celsiusIn(trace, decline.atS + 5, untilS)
  if (before.length > 0 && after.length > 0) {
    const fromC = Math.max(...before)
    const toC = quantile(after, 0.1)
    evidence.push(
      toC < fromC - 0.5
        ? `temperature is ${fromC.toFixed(0)} °C at the drop and falls to ${toC.toFixed(0)} °C after it`
        : `temperature is ${fromC.toFixed(0)} °C at the drop and does not jump there`,
    )
  } else if (trace.temperatureC === null)
    evidence.push('the log has no temperature; heat gives way gradually, not in one step')
  const isSmall = isShallow(decline)
  if (tellsReserve(trace) || (trace.temperatureC !== null && !isSmall))
    return { label: 'power-limit', evidence }
  const alone =
    'no column tells what the machine could have done: a task that asks for less from here on looks the same'
  return { label: isSmall ? 'undetermined' : 'power-limit', evidence: [...evidence, alone] }
}

/** Whether a column tells what the machine could have done; a temperature rules out heat, no more. */
function tellsReserve({ clockHz, limitW, usePct, reasons }: Trace): boolean {
  return [clockHz, limitW, usePct, reasons].some((column) => column !== null && column !== undefined)
}

/** A part that is over sooner is no level that a budget holds, s; common practice, no source. */
const HELD_S = 3

/** Runs that a stage spans; a single run tells by its own decline. */
function runsOf(draft: DraftStage): readonly { readonly startS: number; readonly endS: number }[] {
  const bounds = new Map<number, { startS: number; endS: number }>()
  for (const { run, runIndex } of draft.stretches) {
    const { timesS } = run.series
    // A run that comes down over a level in between steps from budget to budget: its pace tells nothing of heat.
    const held = run.parts.filter(({ from, to }) => timesS[to - 1]! - timesS[from]! >= HELD_S)
    if (held.length > 2) continue
    bounds.set(runIndex, { startS: timesS[0]!, endS: timesS.at(-1)! })
  }
  return bounds.size < 2 ? [] : [...bounds.values()]
}

function explainRunFalls({ paceS, temperatureC, coolingK }: RunFalls): HeldBy {
  return {
    label: 'heat',
    evidence: [
      `every run opens higher and gives way from its beginning, over ${Math.round((paceS / Math.log(5)) * 3)} s, without holding a level first`,
      coolingK < 1
        ? `temperature stays at ${temperatureC.toFixed(0)} °C meanwhile`
        : `temperature comes down by ${coolingK.toFixed(0)} K to ${temperatureC.toFixed(0)} °C meanwhile, far less than such a drop of power would cool it by itself`,
    ],
  }
}
