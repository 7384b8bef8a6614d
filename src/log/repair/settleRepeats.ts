import { InputError } from '../../errors.js'
import { stepsOf } from '../time/stepsOf.js'
import { pickAt } from './pickAt.js'
import type { SampleRows } from './repairClockJumps.js'
import type { RepairList } from './repairList.js'
import { spreadStamps } from './spreadStamps.js'

/** Samples in the order of time: for each, the index of its row and its time, strictly rising. */
export interface TimedRows {
  readonly rows: Int32Array
  readonly timesS: Float64Array
  /** Rows that share their time with the sample at a place in `rows`, to be merged into it. */
  readonly merged: ReadonlyMap<number, readonly number[]>
}

/** Equal stamps: spread when the clock is coarser than the sampling, else dropped (same values) or merged. */
export function settleRepeats(
  seconds: Float64Array,
  kept: Int32Array,
  { rows, repairs }: { readonly rows: SampleRows; readonly repairs: RepairList },
): TimedRows {
  const times = pickAt(seconds, kept)
  const coarseS = coarseResolution(times, kept, rows)
  if (coarseS !== undefined) {
    const repeated = kept.filter((_, i) => i > 0 && times[i] === times[i - 1])
    for (const row of repeated)
      repairs.add(
        'coarse-time',
        rows.lines[row],
        `stamps of ${coarseS} s are coarser than the sampling; spread evenly`,
      )
    return {
      rows: kept,
      timesS: fromZero(spreadStamps(times, coarseS)),
      merged: new Map(),
    }
  }
  return mergeRepeats(seconds, kept, { rows, repairs })
}

/** Rows of one time: the same values again are dropped, others merged. */
function mergeRepeats(
  seconds: Float64Array,
  kept: Int32Array,
  { rows, repairs }: { readonly rows: SampleRows; readonly repairs: RepairList },
): TimedRows {
  const merged = new Map<number, number[]>()
  const unique = new Int32Array(kept.length)
  let count = 0
  for (const row of kept) {
    const last = unique[count - 1]
    if (last === undefined || seconds[last] !== seconds[row]) unique[count++] = row
    else if (rows.same(last, row)) repairs.add('duplicate', rows.lines[row], 'row written twice; dropped')
    else {
      repairs.add('duplicate-time', rows.lines[row], 'several samples of one time; merged into one')
      const others = merged.get(count - 1) ?? []
      others.push(row)
      merged.set(count - 1, others)
    }
  }
  if (count < 2) {
    throw new InputError('time-not-rising', 'the time column holds one and the same time throughout', {
      remedy: 'pick another with --time "NAME", or give the sampling interval with --every 1s',
    })
  }
  const once = unique.subarray(0, count)
  return { rows: once, timesS: fromZero(pickAt(seconds, once)), merged }
}

/** Seconds since the first: the times themselves where that is zero, not to be written to. */
export function fromZero(times: Float64Array): Float64Array {
  const first = times[0] ?? 0
  if (first === 0) return times
  const since = new Float64Array(times.length)
  for (let i = 0; i < times.length; i++) since[i] = times[i]! - first
  return since
}

/**
 * Resolution of the stamps when samples come faster than it: equal stamps again and again among whole steps, and not
 * simply rows written twice.
 */
function coarseResolution(times: Float64Array, kept: Int32Array, rows: SampleRows): number | undefined {
  let equal = 0
  for (let i = 1; i < times.length; i++) if (times[i] === times[i - 1]) equal++
  if (equal === 0) return undefined
  const steps = stepsOf(times)
  const risingSteps = steps.filter((step) => step > 0).sort()
  const resolution = risingSteps[Math.floor(risingSteps.length / 20)]
  if (resolution === undefined) return undefined
  const whole = risingSteps.filter(
    (step) => Math.abs(step / resolution - Math.round(step / resolution)) < 1e-6,
  ).length
  if (whole < 0.98 * risingSteps.length) return undefined
  const twins = kept.filter(
    (row, i) => i > 0 && times[i] === times[i - 1] && rows.same(row, kept[i - 1]!),
  ).length
  const many = equal >= 0.15 * steps.length && twins < 0.9 * equal
  const some = equal >= 3 && equal >= 0.02 * steps.length && twins < 0.5 * equal
  return many || some ? resolution : undefined
}
