import type { IndexRange } from '../indexRange.js'
import type { PowerLevel } from './powerLevels.js'
import { levelsIn, type MarkedLevels } from './twoLevels.js'

/** Use above this, and this share of the work's, is that of the same work. */
const BUSY_USE_PCT = 50
const BUSY_USE_SHARE = 0.9

/** Whether use shows that work goes on beside work, however little power it is left with. */
export function staysBusy(core: IndexRange, work: PowerLevel, log: MarkedLevels): boolean {
  const usePct = meanOver(core, log, (level) => level.usePct)
  return (
    usePct !== null &&
    usePct > BUSY_USE_PCT &&
    usePct >= BUSY_USE_SHARE * (work.usePct ?? Number.POSITIVE_INFINITY)
  )
}

/** Use below this, and use and clock below these shares of the work's, are those of idle. */
const IDLE_USE_PCT = 8
const IDLE_USE_SHARE = 0.3
const IDLE_CLOCK_SHARE = 0.4

/** Whether use or clock show that a stretch idles beside work; a clock that stays up shows nothing. */
export function rests(core: IndexRange, work: PowerLevel, log: MarkedLevels): boolean {
  const [usePct, clockHz] = [
    meanOver(core, log, (level) => level.usePct),
    meanOver(core, log, (level) => level.clockHz),
  ]
  const low = (value: number | null, of: number | null, share: number) =>
    value !== null && of !== null && value < share * of
  return (
    (low(usePct, work.usePct, IDLE_USE_SHARE) && usePct! < IDLE_USE_PCT) ||
    low(clockHz, work.clockHz, IDLE_CLOCK_SHARE)
  )
}

/** Time-mean of a column over the levels that tell it; null where none does. */
function meanOver(
  range: IndexRange,
  log: MarkedLevels,
  read: (level: PowerLevel) => number | null,
): number | null {
  let [sum, seconds] = [0, 0]
  for (const level of levelsIn(range, log)) {
    const value = read(level)
    if (value === null) continue
    sum += value * level.lengthS
    seconds += level.lengthS
  }
  return seconds > 0 ? sum / seconds : null
}
