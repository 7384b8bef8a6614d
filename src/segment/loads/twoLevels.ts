import type { IndexRange } from '../indexRange.js'
import type { PowerLevel, PowerLevels } from './powerLevels.js'

/** What has been decided about each level of a log. */
export const MARK = { idle: 0, work: 1, blip: 2 } as const

/** A log as levels, and what they were found to be so far. */
export interface MarkedLevels extends PowerLevels {
  /** One of `MARK` for each level. */
  readonly marks: Uint8Array
  /** Power held for a shorter time sets no level of its own, s. */
  readonly leastHighS: number
  /** Least distance of two levels that stand apart, W, and as a share of the lower. */
  readonly leastRiseW: number
  readonly leastRiseShare: number
}

/** A zone of a log split into a lower and a higher level. */
export interface TwoLevels {
  readonly lowW: number
  readonly highW: number
  /** Once at work, power may fall to this without having been idle. */
  readonly keptW: number
  /** What is known to be idle here lies no higher. */
  readonly knownW: number
  /** Stretches of levels at work. */
  readonly cores: readonly IndexRange[]
}

/** Less low power than this is a slip of the meter, s. */
const LEAST_LOW_S = 1
/** Share of the way up at which power has not come down to idle yet. */
const KEPT_SHARE = 0.35
/** Where the break between idle and work is looked for, as shares of the way from the lowest to the highest power. */
const BREAK_FROM = 0.25
const BREAK_TO = 0.75
/** Power next to work is idle that is known; what comes back to within a tenth of it is idle too, unless that is as much as weak work rises by. */
const IDLE_SLACK = 0.1

/** The power up to which what comes back to a known idle is idle too, W. */
export function upToIdle(idleW: number, { leastRiseW }: MarkedLevels): number {
  return idleW + Math.min(IDLE_SLACK * idleW, leastRiseW)
}

/** What holds at least this share of the work beside it is no idle. */
export const LEAST_STAGE_SHARE = 0.32
/** Held for so long after work, s, this share is a phase of it: nothing that a machine does on its way to rest draws so much. Common practice, no source. */
export const LONG_TAIL = { share: 0.25, s: 20 }

/** Whether power from a level on, right after work, stays for so long as a phase of that work does. */
export function isLongTail(
  from: number,
  { lowW, workW }: { readonly lowW: number; readonly workW: number },
  { levels, marks }: MarkedLevels,
): boolean {
  const leastW = lowW + LONG_TAIL.share * (workW - lowW)
  let sumS = 0
  for (let k = from; k < levels.length && marks[k] !== MARK.work && levels[k]!.levelW >= leastW; k++)
    sumS += levels[k]!.lengthS
  return sumS >= LONG_TAIL.s
}

/**
 * Splits a zone of a log where its levels leave the widest gap between its lowest and its highest power; null when these don't stand apart.
 *
 * @param inheritedW - what was known to be idle around the zone
 */
export function splitTwoLevels(zone: IndexRange, inheritedW: number, log: MarkedLevels): TwoLevels | null {
  const sorted = levelsIn(zone, log).sort((a, b) => a.levelW - b.levelW)
  const lengthS = sorted.reduce((sum, level) => sum + level.lengthS, 0)
  const lowW = heldFor(sorted, Math.min(LEAST_LOW_S, lengthS / 10))
  const highW = heldFor(sorted.reverse(), Math.min(log.leastHighS, lengthS / 3))
  if (highW - lowW < Math.max(log.leastRiseW, log.leastRiseShare * lowW)) return null
  const at = (share: number) => lowW + share * (highW - lowW)
  const knownW = Math.max(inheritedW, upToIdle(knownIdle(zone, lowW, log), log))
  const keptW = Math.max(at(KEPT_SHARE), knownW)
  const workW = Math.max(widestGap(sorted, { fromW: at(BREAK_FROM), toW: at(BREAK_TO) }), keptW)
  const cores = coresOf(zone, { workW, keptW }, log)
  return cores.length > 0 ? { lowW, highW, keptW, knownW, cores } : null
}

/** Levels of a range, but for blips. */
export function levelsIn({ from, to }: IndexRange, { levels, marks }: MarkedLevels): PowerLevel[] {
  return levels.slice(from, to).filter((_, k) => marks[from + k] !== MARK.blip)
}

/** The level at which the first levels of a list add up to a time. */
function heldFor(sorted: readonly PowerLevel[], timeS: number): number {
  let sumS = 0
  for (const { levelW, lengthS } of sorted) {
    sumS += lengthS
    if (sumS >= timeS) return levelW
  }
  return sorted.at(-1)?.levelW ?? 0
}

/** Middle of the widest gap between levels, inside a range. */
function widestGap(
  levels: readonly PowerLevel[],
  { fromW, toW }: { readonly fromW: number; readonly toW: number },
): number {
  const inside = levels.map(({ levelW }) => levelW).filter((levelW) => levelW > fromW && levelW < toW)
  const bounds = [fromW, ...inside.sort((a, b) => a - b), toW]
  let widest = 1
  for (let k = 2; k < bounds.length; k++) {
    if (bounds[k]! - bounds[k - 1]! > bounds[widest]! - bounds[widest - 1]!) widest = k
  }
  return (bounds[widest - 1]! + bounds[widest]!) / 2
}

/** Mean power of the first seconds beside the work that a zone borders on, where that is idle; the higher side, and 0 where there is none. */
function knownIdle(zone: IndexRange, lowW: number, log: MarkedLevels): number {
  const workW = (k: number) => (log.marks[k] === MARK.work ? log.levels[k]!.levelW : lowW)
  const sides = [
    { workW: workW(zone.from - 1), sideW: powerBeside(zone.from, 1, log) },
    { workW: workW(zone.to), sideW: powerBeside(zone.to - 1, -1, log) },
  ]
  const isTail = isLongTail(zone.from, { lowW, workW: sides[0]!.workW }, log)
  const idle = sides
    .slice(isTail ? 1 : 0)
    .filter((side) => side.sideW - lowW < LEAST_STAGE_SHARE * (side.workW - lowW))
  return Math.max(0, ...idle.map(({ sideW }) => sideW))
}

/** Samples between idle and work belong to neither. */
export const EDGE_SAMPLES = 2

/** So many seconds beside an edge tell what lies there. */
const BESIDE_S = 5

/** Mean power of the first seconds from a level on, one way or the other, edges and blips passed over; 0 where work or an end of the log comes first. */
export function powerBeside(from: number, step: 1 | -1, { levels, marks }: MarkedLevels): number {
  const next = levels[from]
  const start = next !== undefined && next.to - next.from <= EDGE_SAMPLES ? from + step : from
  let joules = 0
  let sumS = 0
  for (let k = start; k >= 0 && k < levels.length && sumS < BESIDE_S; k += step) {
    if (marks[k] === MARK.work) break
    if (marks[k] === MARK.blip) continue
    const partS = Math.min(levels[k]!.lengthS, BESIDE_S - sumS)
    joules += levels[k]!.levelW * partS
    sumS += partS
  }
  return sumS > 0 ? joules / sumS : 0
}

function coresOf(
  zone: IndexRange,
  { workW, keptW }: { readonly workW: number; readonly keptW: number },
  { levels, marks }: MarkedLevels,
): readonly IndexRange[] {
  const cores: IndexRange[] = []
  let kept = false
  for (let k = zone.from; k < zone.to; k++) {
    if (marks[k] === MARK.blip) continue
    const { levelW } = levels[k]!
    const last = cores.at(-1)
    if (levelW > workW) {
      if (last && kept) cores[cores.length - 1] = { from: last.from, to: k + 1 }
      else cores.push({ from: k, to: k + 1 })
      kept = true
    } else if (levelW < keptW) kept = false
  }
  return cores
}
