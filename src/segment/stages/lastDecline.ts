import { endPower, openingPower, RISE_SHARE, SAME_SHARE, startPower } from '../cut/part.js'
import type { DraftStage } from './draftStage.js'

/** A fall of the power before or in a stage, abrupt or gradual. */
export interface Decline {
  /** The stage that it led to. */
  readonly index: number
  readonly gradual: boolean
  readonly atS: number
  readonly fromW: number
  readonly toW: number
  readonly softS: number
  /** When the work after it stopped, s. */
  readonly untilS: number
}

/** How far power fell, % of what it fell from. */
export function fallPct({ fromW, toW }: Decline): number {
  return (100 * (fromW - toW)) / fromW
}

/** Set limits of one machine lie further apart, %; a smaller step that no other column explains may as well be the task. Common practice, no source. */
const LEAST_LIMIT_PCT = 10

/** Whether power fell by less than set limits differ by. */
export function isShallow(decline: Decline): boolean {
  return fallPct(decline) < LEAST_LIMIT_PCT
}

/** The last fall of the power before a stage or in it; undefined where there is none. */
export function lastDecline(drafts: readonly DraftStage[], index: number): Decline | undefined {
  for (let j = index; j >= 0; j--) {
    const first = drafts[j]!.stretches[0]!
    const place = { index: j, atS: first.startS, untilS: first.endS }
    const toW = startPower(first.part, first.run.series)
    const softS = first.edge?.softS ?? 0
    const before = drafts[j - 1]?.stretches.at(-1)
    const fromW = before
      ? endPower(before.part, before.run.series)
      : openingPower(first.part, first.run.series)
    if (drafts[j]!.shape === 'decay') {
      const last = drafts[j]!.stretches.at(-1)!
      const endW = endPower(last.part, last.run.series)
      if (endW < fromW) return { ...place, gradual: true, fromW, toW: endW, softS }
    }
    // The level that a fall settled at begins within the fall's own tail.
    const least = drafts[j - 1]?.shape === 'decay' ? 4 * SAME_SHARE : SAME_SHARE
    if (before && toW < fromW * (1 - least)) return { ...place, gradual: false, fromW, toW, softS }
  }
  return undefined
}

/** Ups and downs of a course by which it wanders: a burst and a mode that is raised once make one each. */
const LEAST_TURNS = 2

/** Whether uninterrupted power comes and goes by itself: a limit that has come down stays down. */
export function wanders(drafts: readonly DraftStage[]): boolean {
  if (drafts.at(-1)!.stretches.at(-1)!.runIndex > 0) return false
  const steps = drafts.slice(1).map((draft, k) => {
    const [before, after] = [drafts[k]!.stretches.at(-1)!, draft.stretches[0]!]
    return startPower(after.part, after.run.series) / endPower(before.part, before.run.series)
  })
  const ups = steps.filter((ratio) => ratio > 1 + SAME_SHARE).length
  const downs = steps.filter((ratio) => ratio < 1 - SAME_SHARE).length
  return ups >= LEAST_TURNS && downs >= LEAST_TURNS
}

/** Whether power comes back to what it was before a fall, in a stage or after it: a limit that has come down stays down. */
export function comesBack(drafts: readonly DraftStage[], index: number, { fromW }: Decline): boolean {
  return drafts.slice(index).some(({ stretches }) => {
    const last = stretches.at(-1)!
    return endPower(last.part, last.run.series) > fromW * (1 - SAME_SHARE)
  })
}

/** Of a gradual fall so much has to be gained back before it is no fall under heat. */
const REGAINED_SHARE = 0.5

/** Whether power that gave way gradually climbs again by most of it, in a later stage: a chip at its ceiling gets no cooler by itself. */
export function climbsAgain(drafts: readonly DraftStage[], { index, fromW, toW }: Decline): boolean {
  return drafts.slice(index + 1).some(({ stretches }) => {
    const last = stretches.at(-1)!
    return endPower(last.part, last.run.series) > toW + REGAINED_SHARE * (fromW - toW)
  })
}

/** Whether a fall took the power back to the level that the load opened at, before it rose: it had asked for no more than that. */
export function fallsBack(drafts: readonly DraftStage[], { index, fromW, toW }: Decline): boolean {
  const last = drafts[0]!.stretches.at(-1)!
  const firstW = endPower(last.part, last.run.series)
  return index > 1 && Math.abs(firstW / toW - 1) <= RISE_SHARE && firstW < fromW * (1 - RISE_SHARE)
}

/** A chassis gives way over minutes; a controller that lets a burst through has come down by then, s. Common practice, no source. */
const EARLY_S = 60

/** Whether power came down gradually, by little, and the stage ends within the load's first minute: too soon to tell heat from a limit that averages over seconds. */
export function isEarlySag(drafts: readonly DraftStage[], index: number, decline: Decline): boolean {
  const lengthS = drafts[index]!.stretches.at(-1)!.endS - drafts[0]!.stretches[0]!.startS
  return decline.gradual && isShallow(decline) && lengthS < EARLY_S
}
