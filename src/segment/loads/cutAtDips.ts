import type { Trace } from '../../log/trace.js'
import { type Dip, FEWEST_DIPS, FLAT_SHARE, isDipLoop, workBetween } from './isDipLoop.js'
import type { PowerLevel } from './powerLevels.js'
import { EDGE_SAMPLES } from './twoLevels.js'
import type { WorkRange } from './workRanges.js'

/**
 * Cuts work at pauses in which the machine stays busy: between two runs a test loads its next scene, at a third or a half of
 * the power. One such dip may be anything that a task does; dips that come again and again, all alike and with like work between
 * them, are the pauses of a loop.
 *
 * @param levels - of the whole log
 */
export function cutAtDips(
  trace: Trace,
  levels: readonly PowerLevel[],
  ranges: readonly WorkRange[],
): readonly WorkRange[] {
  return ranges.flatMap((range) => {
    const inside = levels.filter(({ from, to }) => from >= range.from && to <= range.to)
    const dips = loopDips(trace, range, inside)
    return dips === null ? [range] : cutOut(range, dips)
  })
}

/** Above idle a dip has at most this share of the power of the work beside it. */
const DEEP = 0.6

/** The dips of a loop of at least four runs; null where there is none. The lowest bound that shows one is taken. */
function loopDips(trace: Trace, range: WorkRange, levels: readonly PowerLevel[]): readonly Dip[] | null {
  const idleW = Math.max(range.idleBeforeW ?? 0, range.idleAfterW ?? 0)
  const held = levels.filter(({ from, to }) => to - from > EDGE_SAMPLES)
  const sorted = held.map(({ levelW }) => levelW).sort((a, b) => a - b)
  for (let k = FEWEST_DIPS - 1; k + 1 < sorted.length; k++) {
    // Between two levels that stand apart there may be a bound.
    if (sorted[k]! - idleW > DEEP * (sorted[k + 1]! - idleW)) continue
    const dips = dipsBelow((sorted[k]! + sorted[k + 1]!) / 2, levels)
    if (dips !== null && isDipLoop(trace, range, dips)) return dips
  }
  return null
}

/** Levels below a bound between levels above it, as stretches of samples; null where one of them is no single level. */
function dipsBelow(boundW: number, levels: readonly PowerLevel[]): readonly Dip[] | null {
  const dips: (Dip | null)[] = []
  let parts: PowerLevel[] = []
  levels.forEach((level, k) => {
    if (level.levelW < boundW) parts.push(level)
    else if (parts.length > 0 && parts.length < k) dips.push(dipOf(parts))
    if (level.levelW >= boundW) parts = []
  })
  const told = dips.filter((dip) => dip !== null)
  return told.length === dips.length ? told : null
}

/** One dip of levels in a row; null where these differ. */
function dipOf(parts: readonly PowerLevel[]): Dip | null {
  const held = parts.filter(({ from, to }) => to - from > EDGE_SAMPLES)
  const inner = held.length > 0 ? held : parts
  const levelW = inner.reduce((sum, part) => sum + part.levelW * part.lengthS, 0) / lengthOf(inner)
  const isFlat = inner.every((part) => Math.abs(part.levelW - levelW) <= FLAT_SHARE * levelW)
  return isFlat ? { from: parts[0]!.from, to: parts.at(-1)!.to, levelW } : null
}

function lengthOf(levels: readonly PowerLevel[]): number {
  return levels.reduce((sum, { lengthS }) => sum + lengthS, 0)
}

function cutOut(range: WorkRange, dips: readonly Dip[]): readonly WorkRange[] {
  return workBetween(range, dips).map((work, k) => ({
    ...work,
    idleBeforeW: k === 0 ? range.idleBeforeW : dips[k - 1]!.levelW,
    idleAfterW: k === dips.length ? range.idleAfterW : dips[k]!.levelW,
  }))
}
