import type { IndexRange } from '../indexRange.js'
import type { PowerLevel, PowerLevels } from './powerLevels.js'
import { rests, staysBusy } from './staysBusy.js'
import {
  EDGE_SAMPLES,
  isLongTail,
  LEAST_STAGE_SHARE,
  LONG_TAIL,
  levelsIn,
  MARK,
  type MarkedLevels,
  powerBeside,
  splitTwoLevels,
  type TwoLevels,
  upToIdle,
} from './twoLevels.js'

/** What is over sooner is a blip, s; in a log of nothing else it may be the load. */
const BLIP_S = 8
const LEAST_LOAD_S = 2
/** Idle of wall meters and small boards may be up to two thirds of work: the log's strongest work stands so far above it. */
const LEAST_RISE_SHARE = 0.5
/** Work that rises above idle by less than this share of what the strongest does is background. */
const WEAKEST_SHARE = 0.045
/** Steps of fewer noise scales are noise. */
const LEAST_SCALES = 4

/**
 * Stretches of work in a log that was cut into levels, as ranges of these levels; blips among them.
 *
 * Idle against work is decided in two levels per neighbourhood, from strong to weak. The log is split between its lowest and its
 * highest power; what lies between the stretches of work found so is split again by its own lowest and highest power, and so on, until no two
 * levels stand apart. So idle may shift, and a weak load beside a strong one is found. What lies next to stronger work without idle in
 * between is a stage of that work if it holds a fair share of its power for long enough; else it is idle that shifts:
 * a machine that wakes up, prepares, or comes to rest.
 *
 * @returns all levels as one stretch when nothing in the log is idle
 */
export function findActivity(log: PowerLevels): readonly IndexRange[] {
  const whole = { from: 0, to: log.levels.length }
  const marks = new Uint8Array(log.levels.length)
  const noiseW = Math.min(LEAST_SCALES * log.noiseW, rangeOf(log.levels) / 2)
  const first = { ...log, marks, leastHighS: BLIP_S, leastRiseW: noiseW, leastRiseShare: LEAST_RISE_SHARE }
  const split =
    splitTwoLevels(whole, 0, first) ?? splitTwoLevels(whole, 0, { ...first, leastHighS: LEAST_LOAD_S })
  if (split === null || !idles(split, whole, log.levels)) return [whole]
  const leastRiseW = Math.max(noiseW, WEAKEST_SHARE * (split.highW - split.lowW))
  descend(split, whole, { ...first, leastRiseW, leastRiseShare: 0 })
  // What the whole log is split by is work, however much its power leaps.
  if (!marks.some((mark) => mark !== MARK.idle))
    for (const { from, to } of split.cores) marks.fill(MARK.work, from, to)
  return rangesWhere(whole, (k) => marks[k] !== MARK.idle)
}

/** How far the levels that are held for a while lie apart, W: what comes and goes within a few samples is noise to them, and work all the same. */
function rangeOf(levels: readonly PowerLevel[]): number {
  const held = levels.filter(({ lengthS }) => lengthS >= BLIP_S).map(({ levelW }) => levelW)
  return held.length > 1 ? Math.max(...held) - Math.min(...held) : Number.POSITIVE_INFINITY
}

/** Chassis hold no less than a quarter of their burst; common practice, no source. */
const BURST_RATIO = 4
/** Modes of a machine differ by less; common practice, no source. */
const RAISED_RATIO = 1.6
/** Below this ratio a task that comes and goes by itself may pass for work and idle, unless idle lasts, s. */
const SURE_RATIO = 3
const LEAST_IDLE_S = 10
/** Levels within this share of the way up are as low as the lowest. */
const NEAR_SHARE = 0.2

/** A log of work alone has no level that is sure to be idle: whether the lower of two levels is, its course has to say. */
function idles({ lowW, highW, cores }: TwoLevels, whole: IndexRange, levels: readonly PowerLevel[]): boolean {
  const ratio = highW / Math.max(lowW, 1e-9)
  const beginsHigh = cores[0]!.from === whole.from
  const endsHigh = cores.at(-1)!.to === whole.to
  if (cores.length === 1 && beginsHigh === endsHigh) return !beginsHigh
  // It may be a burst and what it settled at.
  if (cores.length === 1 && beginsHigh) return ratio >= BURST_RATIO
  // It may be a mode that was raised.
  if (cores.length === 1 && endsHigh) return ratio >= RAISED_RATIO
  if (ratio >= SURE_RATIO) return true
  const nearW = lowW + NEAR_SHARE * (highW - lowW)
  const low = rangesWhere(whole, (k) => levels[k]!.levelW <= nearW)
  return low.some(({ from, to }) => sumS(levels.slice(from, to)) >= LEAST_IDLE_S)
}

function sumS(levels: readonly PowerLevel[]): number {
  return levels.reduce((sum, { lengthS }) => sum + lengthS, 0)
}

/** Marks the cores that are work, and goes on with the rest of the zone and with the cores that are idle. */
function descend(split: TwoLevels, zone: IndexRange, log: MarkedLevels): void {
  const shifted = split.cores.filter((core) => {
    const isWork = isStage(core, split, log) ?? isLoad(core, split, log)
    const mark = meanOf(core, log).lengthS < BLIP_S ? MARK.blip : MARK.work
    if (isWork) log.marks.fill(mark, core.from, core.to)
    return !isWork
  })
  const knownW = Math.max(split.knownW, usualIdle(split, zone, log))
  const between = rangesWhere(zone, (k) => log.marks[k] !== MARK.work)
  const rest = between.filter((range) => {
    const isWork = holdsThroughout(range, { ...split, knownW }, log)
    if (isWork) log.marks.fill(MARK.work, range.from, range.to)
    return !isWork
  })
  const open = shifted.filter(({ from }) => log.marks[from] !== MARK.work)
  for (const piece of cutOut(rest, open)) {
    const next = splitTwoLevels(piece, knownW, log)
    if (next !== null) descend(next, piece, log)
    else if (isLastStage(piece, { ...split, knownW }, log)) log.marks.fill(MARK.work, piece.from, piece.to)
  }
}

/** Idle as it usually is right after work, W: what a weak load nearby has to exceed; 0 where work is never seen to end. */
function usualIdle({ lowW }: TwoLevels, zone: IndexRange, log: MarkedLevels): number {
  const { levels, marks } = log
  const after = rangesWhere(zone, (k) => marks[k] === MARK.work).flatMap(({ from, to }) => {
    const sideW = powerBeside(to, 1, log)
    const isEdge = to - from > 1 && levels[to - 1]!.to - levels[to - 1]!.from <= EDGE_SAMPLES
    const [last, next] = [levels[isEdge ? to - 2 : to - 1]!, { from: to, to: to + 1 }]
    const isIdle = sideW > 0 && sideW - lowW < LEAST_STAGE_SHARE * (last.levelW - lowW)
    const goesOn = staysBusy(next, last, log) || isLongTail(to, { lowW, workW: last.levelW }, log)
    return isIdle && !goesOn ? [sideW] : []
  })
  // Of two that differ the lower is idle for sure.
  const usualW = after.sort((a, b) => a - b)[Math.floor((after.length - 1) / 2)]
  return usualW === undefined ? 0 : upToIdle(usualW, log)
}

/** Beside stronger work this share of its power is a stage of it, and a smaller one if it is held for so long. */
const STAGE_SHARE = 0.5
const LEAST_STAGE_S = 20
/** A machine may prepare before its work for seconds; after it, power that is held for so long is its last part. */
const LEAST_TAIL_S = 3

/** Beside work that no idle follows, what follows has to hold more to be its stage. */
const LAST_STAGE_SHARE = 0.35

/** Between work, and after work at half its power and more, what is held for so long is more than the edge of a pause, s. */
const DIP_S = 3

/**
 * Whether what lies between work is work throughout, so that its lowest is no idle: a level that is held, by its share of the work next to it, or a course
 * that never comes below half of the most that it rises to on either side.
 */
function holdsThroughout(piece: IndexRange, { lowW, knownW }: TwoLevels, log: MarkedLevels): boolean {
  const [before, after] = [workBeside(piece.from - 1, -1, log), workBeside(piece.to, 1, log)]
  const { lengthS } = meanOf(piece, log)
  if (before === null || after === null || lengthS < DIP_S) return false
  if (rests(piece, before, log) || rests(piece, after, log)) return false
  const nextW = Math.min(before.levelW, after.levelW)
  const mostW = Math.min(mostBeside(piece.from - 1, -1, log), mostBeside(piece.to, 1, log))
  const isHeld = longestS(piece, log) >= lengthS / 2
  const risesW = isHeld ? LEAST_STAGE_SHARE * (nextW - lowW) : STAGE_SHARE * (mostW - lowW)
  return levelsIn(piece, log).every(({ levelW }) => levelW >= Math.max(knownW, lowW + risesW))
}

/** Highest power of the work that a level belongs to, one way or the other, W. */
function mostBeside(from: number, step: 1 | -1, { levels, marks }: MarkedLevels): number {
  let mostW = 0
  for (let k = from; marks[k] === MARK.work; k += step) mostW = Math.max(mostW, levels[k]!.levelW)
  return mostW
}

/** Whether a piece of one level is no idle but the stage that the work next to it goes over to. */
function isLastStage(piece: IndexRange, split: TwoLevels, log: MarkedLevels): boolean {
  const { levelW, lengthS } = meanOf(piece, log)
  const sides = [workBeside(piece.from - 1, -1, log), workBeside(piece.to, 1, log)]
  const besideW = Math.max(...sides.map((side) => side?.levelW ?? 0))
  if (levelW < split.knownW) return false
  const isBetween = sides.every((side) => side !== null)
  const goesOn = sides[0] !== null && levelW - split.lowW >= STAGE_SHARE * (besideW - split.lowW)
  if (lengthS < (isBetween || goesOn ? DIP_S : BLIP_S)) return false
  const leastW = isBetween ? 0 : split.lowW + LAST_STAGE_SHARE * (besideW - split.lowW)
  return levelW >= leastW && isStage(piece, split, log) === true
}

/** Whether a stretch next to work is a stage of it; undefined when there is idle on both sides. */
function isStage(core: IndexRange, { lowW }: TwoLevels, log: MarkedLevels): boolean | undefined {
  const { levelW } = meanOf(core, log)
  const beside = [workBeside(core.from - 1, -1, log), workBeside(core.to, 1, log)]
  const work = beside.filter((side) => side !== null).map((side) => side.levelW)
  if (work.length === 0) return undefined
  if (beside.some((side) => side !== null && rests(core, side, log))) return false
  if (beside.some((side) => side !== null && staysBusy(core, side, log))) return true
  // Work that goes on afterwards shows that it was not over.
  if (work.length === 2) return levelW - lowW >= LEAST_STAGE_SHARE * (Math.min(...work) - lowW)
  const share = (levelW - lowW) / (work[0]! - lowW)
  const isTail = beside[0] !== null
  if (isTail && share >= LONG_TAIL.share && sumS(levelsIn(core, log)) >= LONG_TAIL.s) return true
  const leastS = isTail ? LEAST_TAIL_S : LEAST_STAGE_S
  return share >= STAGE_SHARE || (share >= LEAST_STAGE_SHARE && longestS(core, log) >= leastS)
}

function longestS(range: IndexRange, log: MarkedLevels): number {
  return Math.max(...levelsIn(range, log).map((level) => level.lengthS))
}

/** The work at a level, or behind the edge there, one way or the other; null where there is none. */
function workBeside(from: number, step: 1 | -1, { levels, marks }: MarkedLevels): PowerLevel | null {
  const next = levels[from]
  const isEdge = next !== undefined && marks[from] === MARK.idle && next.to - next.from <= EDGE_SAMPLES
  const at = isEdge ? from + step : from
  return marks[at] === MARK.work ? levels[at]! : null
}

function isLoad(core: IndexRange, { keptW }: TwoLevels, log: MarkedLevels): boolean {
  const sides = [powerBeside(core.from - 1, -1, log), powerBeside(core.to, 1, log)]
  // What is above the level of idle is a stage of the work, still to be told.
  const idleW = Math.max(0, ...sides.filter((sideW) => sideW <= keptW))
  return meanOf(core, log).levelW - idleW >= log.leastRiseW
}

function meanOf(range: IndexRange, log: MarkedLevels): { readonly levelW: number; readonly lengthS: number } {
  const inside = levelsIn(range, log)
  const lengthS = sumS(inside)
  const joules = inside.reduce((sum, level) => sum + level.levelW * level.lengthS, 0)
  return { levelW: joules / Math.max(lengthS, 1e-9), lengthS }
}

function rangesWhere({ from, to }: IndexRange, fits: (k: number) => boolean): readonly IndexRange[] {
  const ranges: IndexRange[] = []
  for (let k = from; k < to; k++) {
    if (!fits(k)) continue
    const last = ranges.at(-1)
    if (last && last.to === k) ranges[ranges.length - 1] = { from: last.from, to: k + 1 }
    else ranges.push({ from: k, to: k + 1 })
  }
  return ranges
}

/** Ranges in pieces: the given parts of them, and what is left between; both in order. */
function cutOut(ranges: readonly IndexRange[], parts: readonly IndexRange[]): readonly IndexRange[] {
  const pieces: IndexRange[] = []
  let next = 0
  for (const range of ranges) {
    let { from } = range
    for (; next < parts.length && parts[next]!.to <= range.to; next++) {
      if (parts[next]!.from > from) pieces.push({ from, to: parts[next]!.from })
      pieces.push(parts[next]!)
      from = parts[next]!.to
    }
    if (from < range.to) pieces.push({ from, to: range.to })
  }
  return pieces
}
