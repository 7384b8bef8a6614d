import { countingUp } from '../numeric/countingUp.js'
import { orderStatistic } from '../numeric/orderStatistic.js'
import { CARRY_S, findLostCarries } from './findLostCarries.js'
import { findWildStamps } from './findWildStamps.js'
import type { MendingList } from './mendingList.js'
import { mendJumps } from './mendJumps.js'
import type { SampleRows } from './sampleRows.js'
import { fromZero, settleRepeats, type TimedRows } from './settleRepeats.js'
import { usualSteps } from './stepsOf.js'
import type { WrittenTimes } from './writtenTimes.js'

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
export function mendTimes(
  written: Pick<WrittenTimes, 'seconds' | 'scale'>,
  rows: SampleRows,
  mendings: MendingList,
): TimedRows {
  const followed = written.scale === 'time-of-day' ? followMidnight(written.seconds) : written.seconds
  const usualS = medianStep(followed)
  const carries = findLostCarries(followed, usualS)
  if (carries.length === 0 && isPlain(followed)) {
    return { rows: countingUp(followed.length), timesS: fromZero(followed), merged: new Map() }
  }
  const seconds = followed.slice()
  for (const row of carries) {
    seconds[row] = seconds[row]! + CARRY_S
    mendings.add('lost-carry', rows.lines[row], 'stamp lost the carry into the next second; moved on by 1 s')
  }
  const intervalS = samplingInterval(seconds, usualS)
  const wild = findWildStamps(seconds, intervalS)
  for (const row of wild)
    mendings.add('wild-time', rows.lines[row], 'stamp far from its neighbours; sample set aside')
  const kept = rowsBut(wild, seconds.length)
  const grainS = seconds.every((time) => Number.isInteger(time)) ? 1 : 0
  mendJumps(seconds, kept, { intervalS, grainS, wallClock: written.scale === 'wall-clock', mendings, rows })
  const late = kept.filter((row, i) => i > 0 && seconds[row]! < seconds[kept[i - 1]!]!)
  for (const row of late) mendings.add('out-of-order', rows.lines[row], 'row put back in the order of time')
  if (late.length > 0) kept.sort((a, b) => seconds[a]! - seconds[b]! || a - b)
  return settleRepeats(seconds, kept, { rows, mendings })
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
  return rising === 0 ? 1 : orderStatistic(steps.subarray(0, rising), Math.floor(rising / 2))
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
