import type { CutRun } from './cutRun.js'
import { endPower, isDecay, type Part, SAME_SHARE, startPower } from './part.js'
import { type RefinedEdge, refineEdge } from './refineEdge.js'
import { FAST_S, type Series } from './searchPieces.js'

/** A part inside one run. */
export interface Stretch {
  readonly run: CutRun
  readonly runIndex: number
  readonly part: Part
  readonly startS: number
  readonly endS: number
  /** How the part began; null at the start of a run. */
  readonly edge: RefinedEdge | null
}

/** A stage before it is measured: the stretches, over one or several runs, that show one behaviour. */
export interface DraftStage {
  readonly shape: 'level' | 'decay'
  readonly stretches: readonly Stretch[]
}

/**
 * Stages of a load from the parts of its runs.
 *
 * After a pause a budget has partly recovered and a chip has cooled, so a run opens with a short burst again. Such an opening
 * is no new stage: what counts is the course that the runs come back to. So the leading parts of a later run that lie above
 * the course the run before ended at are passed over, and parts of neighbouring runs with the same course are one stage.
 */
export function draftStages(runs: readonly CutRun[], noiseVariance: number): readonly DraftStage[] {
  const drafts: DraftStage[] = []
  runs.forEach((run, runIndex) => {
    const stretches = stretchesOf(run, runIndex, noiseVariance)
    for (const stretch of runIndex === 0 ? stretches : dropOpening(stretches, drafts.at(-1))) {
      append(drafts, stretch)
    }
  })
  return drafts
}

function stretchesOf(run: CutRun, runIndex: number, noiseVariance: number): readonly Stretch[] {
  const { series, parts } = run
  const edges = parts.map((part, i) =>
    i === 0 ? null : refineEdge(series, parts[i - 1]!, part, noiseVariance),
  )
  const lastS = series.timesS.at(-1)!
  const firstS = series.timesS[0]! - intervalBefore(series)
  return parts.map((part, i) => ({
    run,
    runIndex,
    part,
    startS: edges[i]?.startS.value ?? firstS,
    endS: edges[i + 1]?.startS.value ?? lastS,
    edge: edges[i]!,
  }))
}

function intervalBefore(series: Series): number {
  return series.timesS.length > 1 ? series.timesS[1]! - series.timesS[0]! : 0
}

function dropOpening(stretches: readonly Stretch[], before: DraftStage | undefined): readonly Stretch[] {
  const last = before?.stretches.at(-1)
  if (!last) return stretches
  const cameFromW = endPower(last.part, last.run.series)
  let first = 0
  while (first < stretches.length - 1) {
    const opening = startPower(stretches[first]!.part, stretches[first]!.run.series)
    const next = startPower(stretches[first + 1]!.part, stretches[first + 1]!.run.series)
    if (opening < cameFromW * (1 + SAME_SHARE) || next > opening * (1 - SAME_SHARE)) break
    first++
  }
  return stretches.slice(first)
}

function append(drafts: DraftStage[], stretch: Stretch): void {
  const shape = isDecay(stretch.part, stretch.run.series) ? 'decay' : 'level'
  const before = drafts.at(-1)
  const last = before?.stretches.at(-1)
  if (before && last && last.runIndex !== stretch.runIndex && goesOn(before, last, stretch, shape)) {
    drafts[drafts.length - 1] = { shape: before.shape, stretches: [...before.stretches, stretch] }
    return
  }
  drafts.push({ shape, stretches: [stretch] })
}

function goesOn(before: DraftStage, last: Stretch, stretch: Stretch, shape: 'level' | 'decay'): boolean {
  if (before.shape !== shape) return false
  if (shape === 'decay') return true
  const fromW = endPower(last.part, last.run.series)
  const toW = startPower(stretch.part, stretch.run.series)
  return Math.abs(fromW - toW) < SAME_SHARE * 1.25 * fromW
}

/** Sample indices of a stretch that show its course: without the soft edge that opened it. */
export function settledFrom(stretch: Stretch): number {
  const { series } = stretch.run
  const fast = stretch.part.pieces[0]!.tauS < FAST_S ? stretch.part.pieces[0]!.tauS : 0
  const softS = Math.max(stretch.edge?.softS ?? 0, fast, stretch.part.softS)
  const openS = stretch.edge ? stretch.edge.startS.value : series.timesS[stretch.part.from]!
  let from = stretch.part.from
  // After five time constants less than 1 % of the step is left.
  const untilS = openS + 5 * softS
  while (from < stretch.part.to - 2 && series.timesS[from]! < untilS) from++
  return from
}
