import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { GivenTimes } from '../../log/trace.js'
import type { GivenLoad } from '../../segment/givenSpans.js'
import type { Load } from '../../segment/load.js'

/** Loads of a log as they stand, in order of time; a person's corrections make new ones of them. */
export type LoadSpans = readonly GivenLoad[]

/** The part of the log that was read, and how far its samples lie apart, s. */
export interface LogExtent {
  readonly startS: number
  readonly endS: number
  readonly intervalS: number
}

export type LoadEdge = 'startS' | 'endS'

/** No load is set shorter than so many samples. */
const LEAST_SAMPLES = 5

/** How far an edge may be moved: up to the neighbour, or to the log's end; and so that a few samples are left. */
export function edgeRange(
  loads: LoadSpans,
  at: number,
  edge: LoadEdge,
  log: LogExtent,
): readonly [number, number] {
  const { startS, endS } = loads[at]!
  const leastS = LEAST_SAMPLES * log.intervalS
  return edge === 'startS'
    ? [loads[at - 1]?.endS ?? log.startS, endS - leastS]
    : [startS + leastS, loads[at + 1]?.startS ?? log.endS]
}

/** Loads with one edge moved, as far as it may be. */
export function moveEdge(
  loads: LoadSpans,
  at: number,
  edge: LoadEdge,
  toS: number,
  log: LogExtent,
): LoadSpans {
  const [least, most] = edgeRange(loads, at, edge, log)
  const moved = Math.max(least, Math.min(most, toS))
  return loads.map((load, index) => (index === at ? { ...load, [edge]: moved } : load))
}

/** Loads with one joined to the next; the pause between them becomes a pause of the load. */
export function joinNext(loads: LoadSpans, at: number): LoadSpans {
  const next = loads[at + 1]
  if (next === undefined) return loads
  return loads.flatMap((load, index) => {
    if (index === at + 1) return []
    return index === at ? [{ startS: load.startS, endS: next.endS }] : [load]
  })
}

/**
 * Loads with one split in two. In a pause, the first part ends where the pause begins, the second begins where it ends.
 *
 * @returns the same loads when a part would be too short
 */
export function splitLoad(
  loads: LoadSpans,
  at: number,
  atS: number,
  { runs, log }: { readonly runs: Load['runs']; readonly log: LogExtent },
): LoadSpans {
  const load = loads[at]!
  const after = runs.findIndex((run) => run.startS > atS)
  const [before, next] = [runs[after - 1], runs[after]]
  const inPause = before !== undefined && next !== undefined && before.endS < atS
  const firstEndS = inPause ? before.endS : atS
  const nextStartS = inPause ? next.startS : atS
  const leastS = LEAST_SAMPLES * log.intervalS
  if (firstEndS - load.startS < leastS || load.endS - nextStartS < leastS) return loads
  const parts = [
    { startS: load.startS, endS: firstEndS },
    { startS: nextStartS, endS: load.endS },
  ]
  return loads.flatMap((each, index) => (index === at ? parts : [each]))
}

/** Where a split is suggested: in the longest pause, else in the middle. */
export function suggestedSplitS({ startS, endS, runs }: Load): number {
  let best = { atS: 0.5 * (startS + endS), pauseS: 0 }
  for (const [index, run] of runs.slice(1).entries()) {
    const pauseS = run.startS - runs[index]!.endS
    if (pauseS > best.pauseS) best = { atS: runs[index]!.endS + 0.5 * pauseS, pauseS }
  }
  return best.atS
}

export function dropLoad(loads: LoadSpans, at: number): LoadSpans {
  return loads.filter((_, index) => index !== at)
}

/** Loads with one more in the longest free stretch of a window; the same loads when there is no room. */
export function addLoad(loads: LoadSpans, window: readonly [number, number], log: LogExtent): LoadSpans {
  const edges = [
    Math.max(window[0], log.startS),
    ...loads.flatMap(({ startS, endS }) => [startS, endS]),
    Math.min(window[1], log.endS),
  ]
  const free = Array.from({ length: loads.length + 1 }, (_, index) => ({
    startS: Math.max(edges[2 * index]!, edges[0]!),
    endS: Math.min(edges[2 * index + 1]!, edges.at(-1)!),
  }))
  const longest = free.reduce((best, each) => (lengthS(each) > lengthS(best) ? each : best))
  if (lengthS(longest) < LEAST_SAMPLES * log.intervalS) return loads
  return [...loads, longest].sort((a, b) => a.startS - b.startS)
}

function lengthS({ startS, endS }: GivenLoad): number {
  return endS - startS
}

/** Loads as a sheet writes them: to the millisecond, so that edges that were not moved stay where they were found. */
export function givenTimes(loads: LoadSpans): readonly GivenTimes[] {
  const time = (seconds: number) => parseRunTime(`${Number(seconds.toFixed(3))} s`)
  return loads.map(({ startS, endS }) => ({ from: time(startS), to: time(endS) }))
}

/** Which of the loads are a person's: those that were not found as they stand. */
export function setByHand(loads: LoadSpans, found: LoadSpans, { intervalS }: LogExtent): readonly boolean[] {
  const near = (a: number, b: number) => Math.abs(a - b) < 0.5 * intervalS
  return loads.map(
    (load) => !found.some((other) => near(other.startS, load.startS) && near(other.endS, load.endS)),
  )
}

/** For each load before a correction, its place after it: that which holds most of it; undefined for one that was dropped. */
export function placesAfter(before: LoadSpans, after: LoadSpans): readonly (number | undefined)[] {
  return before.map((load) => {
    const shared = after.map((other) => Math.min(load.endS, other.endS) - Math.max(load.startS, other.startS))
    const most = Math.max(...shared)
    return most > 0 ? shared.indexOf(most) : undefined
  })
}
