import { bisectRight } from '../../numeric/bisectRight.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { type Stretch, settledFrom } from '../cut/stretch.js'
import type { DraftStage } from '../stages/draftStage.js'
import type { Section } from './fitShape.js'
import { sectionOf } from './relaxationAsymptote.js'

/** Of a level, so much has to lie in its last piece for that piece to speak alone: nearly half, since it may have begun late. Common practice, no source. */
const ENOUGH_SHARE = 0.4

/** What the runs of a looped level come to, or the last piece of an uninterrupted one if that is long enough to speak alone. */
export function levelSection(stage: DraftStage): Section {
  const single = stage.stretches.length === 1 ? stage.stretches[0]! : undefined
  if (!single) return joinSections(lateSections(stage.stretches))
  const start = settledFrom(single)
  const lastPiece = single.part.pieces.at(-1)!.from
  const enough = single.part.to - lastPiece >= ENOUGH_SHARE * (single.part.to - start)
  return sectionOf(single, enough ? Math.max(start, lastPiece) : start)
}

/** A run that was broken off is none of a loop's: shorter than this share of the usual one. */
const WHOLE_SHARE = 0.8
/** After a pause a run may open above its level and give way to it: what it comes to is seen from this share of it on. */
const LATE_SHARE = 0.5

function lateSections(stretches: readonly Stretch[]): readonly Section[] {
  const usualS = quantile(stretches.map(runLength), 0.5)
  const late = stretches.flatMap((stretch) => {
    const { timesS } = stretch.run.series
    const from = Math.max(
      settledFrom(stretch),
      bisectRight(timesS, timesS[0]! + LATE_SHARE * runLength(stretch)),
    )
    const tells = runLength(stretch) >= WHOLE_SHARE * usualS && from < stretch.part.to
    return tells ? [sectionOf(stretch, from)] : []
  })
  return late.length > 0 ? late : stretches.map((stretch) => sectionOf(stretch, settledFrom(stretch)))
}

function runLength({ run }: Stretch): number {
  return run.series.timesS.at(-1)! - run.series.timesS[0]!
}

/** One section out of several runs: time goes on through the pauses, for a chassis warms through them. */
function joinSections(sections: readonly Section[]): Section {
  const join = (read: (section: Section, k: number) => ArrayLike<number>) =>
    Float64Array.from(sections.flatMap((section, k) => Array.from(read(section, k))))
  const starts: number[] = []
  let at = 0
  for (const section of sections) {
    starts.push(at)
    at += section.sinceS.at(-1)! + 1
  }
  return {
    sinceS: join((section, k) => section.sinceS.map((sinceS) => sinceS + starts[k]!)),
    powerW: join((section) => section.powerW),
    weights: join((section) => section.weights),
  }
}
