import { endPower, partPower, SAME_SHARE, startPower } from '../cut/part.js'
import type { DraftStage } from './draftStage.js'
import { cutStretch, SHORTEST_S } from './splitSettled.js'

/**
 * A last level that a fall has come to rest at begins where the fall came within 2 % of it, not where noise or drift made a new piece of it
 * minutes later: no reader calls that a stage.
 */
export function joinRested(drafts: readonly DraftStage[]): readonly DraftStage[] {
  const [before, last] = [drafts.at(-2), drafts.at(-1)!]
  if (before?.shape !== 'decay' || last.shape !== 'level') return drafts
  const [fall, level] = [before.stretches.at(-1)!, last.stretches[0]!]
  const { part, run } = fall
  // Rounds of a loop fall anew after each pause.
  if (level.runIndex > 0) return drafts
  const levelW = startPower(level.part, run.series)
  const isOutside = (timeS: number) =>
    Math.abs(partPower(part, run.series, timeS) - levelW) > SAME_SHARE * levelW
  if (Math.abs(endPower(part, run.series) - levelW) > SAME_SHARE * levelW) return drafts
  let from = part.to
  while (from > part.from && !isOutside(run.series.timesS[from - 1]!)) from--
  const restS = run.series.timesS[Math.max(part.from, from - 1)]!
  if (fall.endS - restS < SHORTEST_S || restS - fall.startS < SHORTEST_S) return drafts
  const [course] = cutStretch(fall, Number.NEGATIVE_INFINITY, restS)
  const [rest] = cutStretch(fall, restS, Number.POSITIVE_INFINITY)
  if (course === undefined || rest === undefined) return drafts
  const whole = {
    ...level,
    startS: restS,
    edge: null,
    part: {
      ...level.part,
      from: rest.part.from,
      pieces: [...rest.part.pieces.slice(-1), ...level.part.pieces],
      softS: 0,
    },
  }
  return [
    ...drafts.slice(0, -2),
    { shape: 'decay', stretches: [...before.stretches.slice(0, -1), course] },
    { shape: 'level', stretches: [whole, ...last.stretches.slice(1)] },
  ]
}
