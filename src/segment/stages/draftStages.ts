import { ESTIMATE_EDGE } from '../../numeric/statistics/estimate.js'
import { correlationFactor } from '../../numeric/statistics/noise.js'
import type { CutRun } from '../cut/cutRun.js'
import type { Series } from '../cut/fitPiece.js'
import { endPower, isDecay, isRise, type Part, RISE_SHARE, SAME_SHARE, startPower } from '../cut/part.js'
import { type RefinedEdge, refineEdge } from '../cut/refineEdge.js'
import type { Stretch } from '../cut/stretch.js'
import type { DraftStage } from './draftStage.js'
import { findRelaxingRun } from './findRelaxingRun.js'
import { joinWander } from './joinWander.js'
import { type LoadNoise, measureLevel } from './measureLevel.js'

/** When a run begins and ends, s. */
export interface RunBounds {
  readonly startS: number
  readonly endS: number
}

/**
 * Stages of a load from the parts of its runs.
 *
 * After a pause a budget has partly recovered and a chip has cooled, so a run opens with a short burst again. Such an opening
 * is no new stage: what counts is the course that the runs come back to. So the leading parts of a later run that lie above
 * the course the run before ended at are passed over, and parts of neighbouring runs with the same course are one stage. In a loop that
 * heat holds down every run relaxes anew: all of that is one relaxation.
 */
export function draftStages(
  runs: readonly CutRun[],
  bounds: readonly RunBounds[],
  noise: LoadNoise,
): readonly DraftStage[] {
  const variance = noise.scale ** 2 * correlationFactor(noise.autocorrelation)
  const byRun = runs.map((run, i) => stretchesOf(run, { runIndex: i, bounds: bounds[i]!, variance }))
  const looped = runs.length > 1
  const relaxing = looped ? findRelaxingRun(byRun, noise) : undefined
  const drafts: DraftStage[] = []
  byRun.forEach((stretches, runIndex) => {
    if (relaxing !== undefined && runIndex > relaxing) {
      continueDecay(drafts, stretches.at(-1)!)
      return
    }
    // In a loop that nothing relaxes for good, a bend within a run is a soft edge or noise.
    const steady = looped && (relaxing === undefined || runIndex < relaxing)
    for (const stretch of dropOpening(stretches, drafts.at(-1))) {
      append(drafts, { shape: steady ? 'level' : shapeOf(stretch, looped), stretches: [stretch] }, noise)
    }
  })
  if (!looped) return joinWander(drafts)
  const kept = dropExcursions(dropLastOpening(drafts), noise)
  return isOfFirstRun(kept, runs.length) ? [{ shape: 'level', stretches: byRun.flat() }] : kept
}

/** Whether no later run comes to any level that lasts: such a load has one mean, and no stages that its first run alone would tell. */
function isOfFirstRun(drafts: readonly DraftStage[], runCount: number): boolean {
  return runCount >= FEWEST_RUNS && drafts.at(-1)!.stretches.at(-1)!.runIndex === 0
}

/** Two runs may well differ. */
const FEWEST_RUNS = 3

/** The most that a load was held at before a stage, W; infinite where nothing clearly exceeds what the stage came to. */
export function shownBefore(drafts: readonly DraftStage[], index: number): number {
  const last = drafts[index]!.stretches.at(-1)!
  const endW = endPower(last.part, last.run.series)
  const shown = drafts
    .slice(0, index)
    .flatMap(({ stretches }) =>
      stretches.flatMap(({ part, run }) => [startPower(part, run.series), endPower(part, run.series)]),
    )
  const mostW = Math.max(0, ...shown)
  return mostW > endW * (1 + RISE_SHARE) ? mostW : Number.POSITIVE_INFINITY
}

/** Between pauses every run opens anew, so that a rise within one is no stage. */
function shapeOf({ part, run: { series } }: Stretch, looped: boolean): DraftStage['shape'] {
  if (isDecay(part, series)) return 'decay'
  return !looped && isRise(part, series) ? 'rise' : 'level'
}

function continueDecay(drafts: DraftStage[], stretch: Stretch): void {
  const before = drafts.at(-1)
  if (before?.shape === 'decay') drafts[drafts.length - 1] = extend(before, stretch)
  else drafts.push({ shape: 'decay', stretches: [stretch] })
}

function extend(before: DraftStage, ...more: readonly Stretch[]): DraftStage {
  return { shape: before.shape, stretches: [...before.stretches, ...more] }
}

interface RunContext {
  readonly runIndex: number
  readonly bounds: RunBounds
  readonly variance: number
}

function stretchesOf(run: CutRun, { runIndex, bounds, variance }: RunContext): readonly Stretch[] {
  const { series, parts } = run
  const refined = parts.map((part, i) => (i === 0 ? null : refineEdge(series, parts[i - 1]!, part, variance)))
  const edges = inOrder(refined, bounds)
    ? refined
    : refined.map((edge, i) => atItsSample(edge, parts[i]!, series))
  return parts.map((part, i) => ({
    run,
    runIndex,
    part,
    startS: edges[i]?.startS.value ?? bounds.startS,
    endS: edges[i + 1]?.startS.value ?? bounds.endS,
    edge: edges[i]!,
  }))
}

function inOrder(edges: readonly (RefinedEdge | null)[], { startS, endS }: RunBounds): boolean {
  const times = [startS, ...edges.flatMap((edge) => edge?.startS.value ?? []), endS]
  return times.every((time, i) => i === 0 || time > times[i - 1]!)
}

/** Edges that are closer than each is known may cross: then each is put where its part's samples begin. */
function atItsSample(edge: RefinedEdge | null, part: Part, series: Series): RefinedEdge | null {
  if (edge === null) return null
  const { low, high, level } = edge.startS
  const value = series.timesS[part.from - 1]!
  return { ...edge, startS: { value, low: Math.min(low, value), high: Math.max(high, value), level } }
}

function dropOpening(stretches: readonly Stretch[], before: DraftStage | undefined): readonly Stretch[] {
  const last = before?.stretches.at(-1)
  if (!last || last.runIndex === stretches[0]?.runIndex) return stretches
  const cameFromW = endPower(last.part, last.run.series)
  let first = 0
  while (first < stretches.length - 1) {
    const opening = startPower(stretches[first]!.part, stretches[first]!.run.series)
    const falls = stretches
      .slice(first + 1)
      .some((later) => endPower(later.part, later.run.series) < opening * (1 - SAME_SHARE))
    if (opening < cameFromW * (1 + SAME_SHARE) || !falls) break
    first++
  }
  return stretches.slice(first)
}

function append(drafts: DraftStage[], draft: DraftStage, noise: LoadNoise): void {
  const before = drafts.at(-1)
  const otherRun = before?.stretches.at(-1)?.runIndex !== draft.stretches[0]!.runIndex
  if (before && otherRun && goesOn(before, draft, noise)) {
    drafts[drafts.length - 1] = extend(before, ...draft.stretches)
  } else drafts.push(draft)
}

function goesOn(before: DraftStage, after: DraftStage, noise: LoadNoise): boolean {
  return before.shape === after.shape && (after.shape === 'decay' || sameLevel(before, after, noise))
}

function sameLevel(before: DraftStage, after: DraftStage, noise: LoadNoise): boolean {
  const a = measureLevel(before.stretches.slice(-3), noise)
  const b = measureLevel(after.stretches.slice(0, 3), noise)
  // Half-widths are ESTIMATE_EDGE standard errors; 3 standard errors of the difference.
  const slackW = (3 / ESTIMATE_EDGE) * Math.hypot((a.high - a.low) / 2, (b.high - b.low) / 2)
  const share = b.value > a.value ? RISE_SHARE : 1.25 * SAME_SHARE
  return Math.abs(a.value - b.value) < Math.max(share * a.value, slackW)
}

/** Shortest stage that a looped load may show after its first run, s: less is the opening or the end of a run. */
const SHORTEST_LATER_STAGE_S = 12

function dropExcursions(drafts: readonly DraftStage[], noise: LoadNoise): readonly DraftStage[] {
  const joined: DraftStage[] = []
  for (const draft of drafts) {
    const before = joined.at(-1)
    if (before && goesOn(before, draft, noise)) joined[joined.length - 1] = extend(before, ...draft.stretches)
    else joined.push(draft)
  }
  const kept: DraftStage[] = []
  let openings: readonly Stretch[] = []
  joined.forEach((draft, i) => {
    const next = joined[i + 1]
    if (i > 0 && isExcursion(draft, joined[i - 1]!, next, noise)) {
      openings = next && leadsInto(draft, joined[i - 1]!, next) ? [...openings, ...draft.stretches] : []
      return
    }
    const whole = { shape: draft.shape, stretches: [...openings, ...draft.stretches] }
    openings = []
    const before = kept.at(-1)
    if (before && goesOn(before, draft, noise)) kept[kept.length - 1] = extend(before, ...whole.stretches)
    else kept.push(whole)
  })
  return kept
}

/** The end of a run in which the drop came: too short to show the new level, but on its way there. */
function leadsInto(draft: DraftStage, before: DraftStage, next: DraftStage): boolean {
  const [fromW, hereW, toW] = [before, draft, next].map((stage) => {
    const last = stage.stretches[0]!
    return endPower(last.part, last.run.series)
  })
  return hereW! < fromW! * (1 - SAME_SHARE) && toW! < fromW! * (1 - SAME_SHARE) && hereW! > toW! * 0.97
}

/** A load that is broken off inside a run's opening would seem to end in a burst. */
function dropLastOpening(drafts: readonly DraftStage[]): readonly DraftStage[] {
  const last = drafts.at(-1)!
  const before = drafts.at(-2)
  const stretch = last.stretches[0]!
  if (!before || last.stretches.length > 1 || stretch.runIndex === 0) return drafts
  const previous = before.stretches.at(-1)!
  const rises =
    startPower(stretch.part, stretch.run.series) >
    endPower(previous.part, previous.run.series) * (1 + SAME_SHARE)
  return rises ? drafts.slice(0, -1) : drafts
}

function isExcursion(
  draft: DraftStage,
  before: DraftStage,
  after: DraftStage | undefined,
  noise: LoadNoise,
): boolean {
  const lengthS = draft.stretches.reduce((sum, stretch) => sum + stretch.endS - stretch.startS, 0)
  if (lengthS >= SHORTEST_LATER_STAGE_S) return false
  return draft.stretches[0]!.runIndex > 0 || (after !== undefined && sameLevel(before, after, noise))
}
