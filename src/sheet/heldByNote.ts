/**
 * What held the power, by a note of how long it was at its limit.
 *
 * @param cappedPct - share of the time, per cent
 * @example heldByNote(98) // 'power-limit'
 */
export function heldByNote(cappedPct: number): 'power-limit' | 'demand' | 'undetermined' {
  if (cappedPct >= MOSTLY) return 'power-limit'
  return cappedPct <= HARDLY ? 'demand' : 'undetermined'
}

/** Nine tenths of the time, and one tenth; common practice, no source. */
const MOSTLY = 90
const HARDLY = 10
