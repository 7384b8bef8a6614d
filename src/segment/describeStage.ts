import type { Trace } from '../log/trace.js'
import { openingPower } from './cut/part.js'
import type { Stage, StageLabel } from './load.js'
import type { SettledStage } from './settled/estimateSustained.js'
import { relaxationAsymptote, riseStart } from './settled/relaxationAsymptote.js'
import type { DraftStage } from './stages/draftStage.js'
import { shownBefore } from './stages/draftStages.js'
import { cycleOf } from './stages/explainCycles.js'
import { explainHold } from './stages/explainHold.js'
import type { LogContext } from './stages/holdEvidence.js'
import { type LoadNoise, measureCourse, measureLevel } from './stages/measureLevel.js'

export interface StageContext {
  readonly log: LogContext
  readonly noise: LoadNoise
  readonly settled: SettledStage
  /** The stage that `settled` was fitted to; where its relaxation came to rest, its level was split off as the next. */
  readonly settledIndex: number
  readonly draft: DraftStage
  /** When the load begins and ends, s: its first and last stage do so too. */
  readonly bounds: { readonly startS: number; readonly endS: number }
}

/** A stage as it is told: measured, with its label, its course, and what held it. */
export function describeStage(
  trace: Trace,
  drafts: readonly DraftStage[],
  index: number,
  context: StageContext,
): Stage {
  const { draft, noise, bounds, log } = context
  const first = draft.stretches[0]!
  const next = drafts[index + 1]?.stretches[0]
  const cycle = cycleOf(draft)
  const course = draft.shape === 'level' ? null : courseOf(drafts, index, context)
  return {
    label: labelOf(drafts, index, context),
    shape: course === null ? 'level' : draft.shape,
    startS: index === 0 ? bounds.startS : first.startS,
    endS: next?.startS ?? bounds.endS,
    startInterval: first.edge?.startS ?? null,
    levelW: (course === null ? measureLevel : measureCourse)(draft.stretches, noise),
    decay: course,
    ...(cycle === undefined ? {} : { cycle }),
    heldBy: explainHold(trace, drafts, index, log),
  }
}

/** Where a decay or a rise began and where it heads; null where no time constant fits, for then there is no course to tell of. */
function courseOf(
  drafts: readonly DraftStage[],
  index: number,
  { noise, settled, settledIndex }: StageContext,
): Stage['decay'] {
  const { shape, stretches } = drafts[index]!
  const [first, last] = [stretches[0]!, stretches.at(-1)!]
  const fitted =
    index === settledIndex ? settled.asymptote : relaxationAsymptote(last, noise, shownBefore(drafts, index))
  if (!(fitted.tauS.value > 0)) return null
  const fromW =
    shape === 'rise' ? riseStart(first) : (first.edge?.fromW ?? openingPower(first.part, first.run.series))
  return { fromW, ...fitted }
}

/** A burst is what power falls from: a first stage below the next is none, nor is an only one. */
function labelOf(drafts: readonly DraftStage[], index: number, { settled, noise }: StageContext): StageLabel {
  if (index === drafts.length - 1 && settled.sustained.reached) return 'sustained'
  const next = drafts[index + 1]
  if (index > 0 || next === undefined) return 'short-term'
  const [own, then] = [drafts[index]!, next].map(({ stretches }) => measureLevel(stretches, noise).value)
  return then! > RISES * own! ? 'short-term' : 'burst'
}

/** The step by which stages are told apart at a load's end, too: less is no rise worth the word; common practice, no source. */
const RISES = 1.05
