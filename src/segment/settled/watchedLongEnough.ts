import { endPower, SAME_SHARE, startPower } from '../cut/part.js'
import type { DraftStage } from '../stages/draftStage.js'

/**
 * A level that followed one drop or none has to be watched at least this long before it may count as the last one, s. A second budget or
 * a limit for the skin's temperature may take minutes to act: common practice, no source.
 */
const SHORTEST_WATCH_S = 360
/** The contract's times: after one drop, after a later one, and from the start where other columns prove the cause; s and shares. */
const DROP_S = 120
const LATER_DROP_S = 60
const LATER_DROP_SHARE = 0.5
const PROVEN_S = 120
/** So many rounds of a loop that are alike have settled: the contract's figure. */
const LIKE_ROUNDS = 3
/** A level that a fall has come to, as found: so long at least, s, and as a share of what came before. */
const REST_S = 60
const REST_SHARE = 0.1

/** Whether a level counts as seen to settle, by the contract's rule. */
export function watchedLongEnough(
  drafts: readonly DraftStage[],
  {
    watchedS,
    beforeS,
    isProven,
  }: { readonly watchedS: number; readonly beforeS: number; readonly isProven: boolean },
): boolean {
  const rounds = new Set(drafts.at(-1)!.stretches.map(({ runIndex }) => runIndex)).size
  if (rounds >= LIKE_ROUNDS) return true
  // A fall that has come to rest is over: no limit is still to act. Whether it is at rest, its late course says.
  if (drafts.at(-2)?.shape === 'decay') return watchedS >= Math.max(REST_S, REST_SHARE * beforeS)
  const drops = dropsIn(drafts)
  if (drops >= 2) return watchedS >= Math.max(LATER_DROP_S, LATER_DROP_SHARE * beforeS)
  if (drops === 1) return watchedS >= Math.max(DROP_S, beforeS)
  return beforeS + watchedS >= (isProven ? PROVEN_S : SHORTEST_WATCH_S)
}

function dropsIn(drafts: readonly DraftStage[]): number {
  return drafts.slice(1).filter((draft, k) => {
    const [before, after] = [drafts[k]!.stretches.at(-1)!, draft.stretches[0]!]
    const fromW = endPower(before.part, before.run.series)
    return startPower(after.part, after.run.series) < fromW * (1 - SAME_SHARE)
  }).length
}
