import { fitPiece } from '../cut/fitPiece.js'
import { endPower } from '../cut/part.js'
import type { DraftStage } from './draftStage.js'

/** What noise wanders for a moment, s and as a share of the power; common practice, no source. */
const WANDER_S = 5
const LAST_SHARE = 0.05
/** Of a course that wanders all the time: within this share of its mean, with so many of such moments, and so many ways up and down. Common practice, no source. */
const COURSE_SHARE = 0.1
const MOMENTS = 4
const TURNS = 2

/**
 * Stages of an uninterrupted load, without those that only wander.
 *
 * A course that keeps going up and down by a few per cent within seconds, as a task does that waits for something else, is one level. A step as
 * small and short at the very end is none: nothing came after it that would make it a level.
 */
export function joinWander(drafts: readonly DraftStage[]): readonly DraftStage[] {
  const joined: DraftStage[] = []
  for (let k = 0; k < drafts.length; ) {
    const to = endOfWander(drafts, k)
    joined.push(to > k + 1 ? asOneLevel(drafts.slice(k, to)) : drafts[k]!)
    k = Math.max(to, k + 1)
  }
  return dropLastWander(joined)
}

/** All samples of an uninterrupted course as one level: the ways from one moment to the next belong to it, too. */
function asOneLevel(drafts: readonly DraftStage[]): DraftStage {
  const stretches = drafts.flatMap((draft) => draft.stretches)
  const [first, last] = [stretches[0]!, stretches.at(-1)!]
  const { series } = first.run
  const [from, to] = [first.part.from, last.part.to]
  const pieces = [fitPiece(series, from, to, Number.POSITIVE_INFINITY)]
  // Its way to the first moment's level is a part of the course, too, and no edge to be left out of its mean.
  const part = { from, to, pieces, softS: 0 }
  const edge = first.edge && { ...first.edge, softS: 0 }
  return { shape: 'level', stretches: [{ ...first, endS: last.endS, part, edge }] }
}

/** Where a wandering course that begins at a stage ends; that stage alone where none does. */
function endOfWander(drafts: readonly DraftStage[], from: number): number {
  let end = from
  for (let to = from + 1; to <= drafts.length && !givesWay(drafts[to - 1]!); to++) {
    const some = drafts.slice(from, to)
    if (isHectic(some)) end = to
    else if (liesClose(some) && wandersOften(some)) end = to
    else if (!liesClose(some) && !some.every(isMoment)) break
  }
  return end
}

/** A limit's controller has come down after five of its time constants of 2 s, s: what is over sooner is a step of the course, softly taken. */
const APPROACH_S = 10

function givesWay(draft: DraftStage): boolean {
  return draft.shape === 'decay' && lengthOf(draft) >= APPROACH_S
}

/** Of moments alone, so many in a row with so many ways up and down, nobody would tell one by one, however far apart they lie. Common practice, no source. */
const HECTIC = { moments: 8, turns: 3 }

function isHectic(drafts: readonly DraftStage[]): boolean {
  if (drafts.length < HECTIC.moments || !drafts.every(isMoment)) return false
  const { ups, downs } = turnsOf(drafts)
  return Math.min(ups, downs) >= HECTIC.turns
}

function isMoment(draft: DraftStage): boolean {
  return lengthOf(draft) < WANDER_S
}

function turnsOf(drafts: readonly DraftStage[]): { readonly ups: number; readonly downs: number } {
  const steps = drafts.slice(1).map((draft, k) => levelOf(draft) - levelOf(drafts[k]!))
  const ups = steps.filter((step) => step > 0).length
  return { ups, downs: steps.length - ups }
}

function liesClose(drafts: readonly DraftStage[]): boolean {
  const timeS = drafts.reduce((sum, draft) => sum + lengthOf(draft), 0)
  const meanW = drafts.reduce((sum, draft) => sum + levelOf(draft) * lengthOf(draft), 0) / timeS
  return drafts.every((draft) => Math.abs(levelOf(draft) / meanW - 1) <= COURSE_SHARE)
}

function wandersOften(drafts: readonly DraftStage[]): boolean {
  const { ups, downs } = turnsOf(drafts)
  return drafts.filter(isMoment).length >= MOMENTS && Math.min(ups, downs) >= TURNS
}

/** Mean of a stage's samples, W. */
function levelOf({ stretches }: DraftStage): number {
  let sum = 0
  let count = 0
  for (const { part, run } of stretches) {
    for (let i = part.from; i < part.to; i++) sum += run.series.powerW[i]!
    count += part.to - part.from
  }
  return sum / count
}

function lengthOf({ stretches }: DraftStage): number {
  return stretches.at(-1)!.endS - stretches[0]!.startS
}

function dropLastWander(drafts: readonly DraftStage[]): readonly DraftStage[] {
  const [before, last] = [drafts.at(-2), drafts.at(-1)!]
  if (before === undefined || before.shape !== 'level' || last.shape !== 'level') return drafts
  const [was, is] = [before.stretches.at(-1)!, last.stretches[0]!]
  const isShort = is.endS - is.startS < WANDER_S
  const step = endPower(is.part, is.run.series) / endPower(was.part, was.run.series) - 1
  return isShort && Math.abs(step) < LAST_SHARE ? drafts.slice(0, -1) : drafts
}
