import { indices } from '../../numeric/indices.js'
import { quickselect } from '../../numeric/quickselect.js'
import { usualSteps } from '../time/stepsOf.js'
import type { WrittenTimes } from '../time/writtenTimes.js'
import { CARRY_S, findLostCarries } from './findLostCarries.js'
import { repairClockJumps, type SampleRows } from './repairClockJumps.js'
import type { RepairList } from './repairList.js'
import { fromZero, settleRepeats, type TimedRows } from './settleRepeats.js'

/**
 * Puts samples in the order of time and mends what clocks do: midnight, summer time and other jumps, rows written out
 * of order, rows written twice, single wild stamps, stamps coarser than the sampling.
 *
 * A step back is told from rows out of order by density: rows that fill a hole left by others were late; rows that lie
 * upon others mean that the clock was set back, and everything after is moved on by the jump.
 *
 * @param written - times as parsed, NaN nowhere
 * @throws InputError `time-not-rising`
 */
export function repairTimes(
  written: Pick<WrittenTimes, 'seconds' | 'scale'>,
  rows: SampleRows,
  repairs: RepairList,
): TimedRows {
  const followed = written.scale === 'time-of-day' ? followMidnight(written.seconds) : written.seconds
  const usualS = medianStep(followed)
  const carries = findLostCarries(followed, usualS)
  if (carries.length === 0 && isPlain(followed)) {
    return { rows: indices(followed.length), timesS: fromZero(followed), merged: new Map() }
  }
  const seconds = followed.slice()
  for (const row of carries) {
    seconds[row] = seconds[row]! + CARRY_S
    repairs.add('lost-carry', rows.lines[row], 'stamp lost the carry into the next second; moved on by 1 s')
  }
  const intervalS = samplingInterval(seconds, usualS)
  const wild = findWildStamps(seconds, intervalS)
  for (const row of wild)
    repairs.add('wild-time', rows.lines[row], 'stamp far from its neighbours; sample set aside')
  const kept = rowsBut(wild, seconds.length)
  const grainS = seconds.every((time) => Number.isInteger(time)) ? 1 : 0
  repairClockJumps(seconds, kept, {
    intervalS,
    grainS,
    wallClock: written.scale === 'wall-clock',
    repairs,
    rows,
  })
  const late = kept.filter((row, i) => i > 0 && seconds[row]! < seconds[kept[i - 1]!]!)
  for (const row of late) repairs.add('out-of-order', rows.lines[row], 'row put back in the order of time')
  if (late.length > 0) kept.sort((a, b) => seconds[a]! - seconds[b]! || a - b)
  return settleRepeats(seconds, kept, { rows, repairs })
}

/** Times that rise from each to the next, by less than any clock is set by: most logs need nothing else. */
function isPlain(seconds: Float64Array): boolean {
  for (let i = 1; i < seconds.length; i++) {
    const step = seconds[i]! - seconds[i - 1]!
    if (!(step > 0 && step < HOUR_S)) return false
  }
  return seconds.length > 1
}

const HOUR_S = 3600
const DAY_S = 86_400

function rowsBut(wild: ReadonlySet<number>, count: number): Int32Array {
  const kept = new Int32Array(count - wild.size)
  let at = 0
  for (let row = 0; row < count; row++) if (!wild.has(row)) kept[at++] = row
  return kept
}

/** Adds a day whenever the time of day falls by more than half of one, and takes it back likewise. */
function followMidnight(ofDayS: Float64Array): Float64Array {
  const seconds = ofDayS.slice()
  let days = 0
  for (let i = 1; i < seconds.length; i++) {
    const step = ofDayS[i]! - ofDayS[i - 1]!
    if (step < -DAY_S / 2) days++
    if (step > DAY_S / 2) days--
    seconds[i] = ofDayS[i]! + days * DAY_S
  }
  return seconds
}

function medianStep(seconds: Float64Array): number {
  const steps = usualSteps(seconds)
  let rising = 0
  for (const step of steps) if (step > 0) steps[rising++] = step
  return rising === 0 ? 1 : quickselect(steps.subarray(0, rising), Math.floor(rising / 2))
}

/** Mean of the steps that are neither back nor long: also right where coarse stamps repeat. */
function samplingInterval(seconds: Float64Array, usualS: number): number {
  let [sum, count] = [0, 0]
  for (let i = 1; i < seconds.length; i++) {
    const step = seconds[i]! - seconds[i - 1]!
    if (step < 0 || step > 3 * usualS) continue
    sum += step
    count++
  }
  return count === 0 || sum === 0 ? usualS : sum / count
}

/** Single stamps far outside their neighbours, which themselves agree, that fill no hole elsewhere in the log. */
function findWildStamps(seconds: Float64Array, intervalS: number): Set<number> {
  const wild = new Set<number>()
  let sorted: Float64Array | undefined
  for (let i = 1; i + 1 < seconds.length; i++) {
    const before = seconds[i - 1]!
    const here = seconds[i]!
    const after = seconds[i + 1]!
    const agree = after >= before && after - before <= 3 * intervalS
    if (!agree || (here >= before - 10 * intervalS && here <= after + 10 * intervalS)) continue
    sorted ??= Float64Array.from(seconds).sort()
    if (!fillsHole(sorted, here, intervalS)) wild.add(i)
  }
  return wild
}

function fillsHole(sorted: Float64Array, time: number, intervalS: number): boolean {
  let [low, high] = [0, sorted.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < time) low = middle + 1
    else high = middle
  }
  const [below, above] = [sorted[low - 1], sorted[low + 1]]
  if (below === undefined || above === undefined) return false
  const room = 0.6 * intervalS
  return (
    time - below > room && above - time > room && time - below < 3 * intervalS && above - time < 3 * intervalS
  )
}
