import { InputError } from '../errors.js'
import type { MendingList } from './mendingList.js'
import type { SampleRows } from './sampleRows.js'
import { spreadStamps } from './spreadStamps.js'

/** Samples in the order of time: for each, the index of its row and its time, strictly rising. */
export interface TimedRows {
  readonly rows: readonly number[]
  readonly timesS: readonly number[]
  /** Rows that share their time with the sample at a place in `rows`, to be merged into it. */
  readonly merged: ReadonlyMap<number, readonly number[]>
}

/** Equal stamps: spread when the clock is coarser than the sampling, else dropped (same values) or merged. */
export function settleRepeats(
  seconds: Float64Array,
  kept: readonly number[],
  { rows, mendings }: { readonly rows: SampleRows; readonly mendings: MendingList },
): TimedRows {
  const times = kept.map((row) => seconds[row]!)
  const coarseS = coarseResolution(times, kept, rows)
  if (coarseS !== undefined) {
    const repeated = kept.filter((_, i) => i > 0 && times[i] === times[i - 1])
    for (const row of repeated)
      mendings.add(
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
  return mergeRepeats(seconds, kept, { rows, mendings })
}

/** Rows of one time: the same values again are dropped, others merged. */
function mergeRepeats(
  seconds: Float64Array,
  kept: readonly number[],
  { rows, mendings }: { readonly rows: SampleRows; readonly mendings: MendingList },
): TimedRows {
  const merged = new Map<number, number[]>()
  const unique: number[] = []
  for (const row of kept) {
    const last = unique.at(-1)
    if (last === undefined || seconds[last] !== seconds[row]) unique.push(row)
    else if (rows.same(last, row)) mendings.add('duplicate', rows.lines[row], 'row written twice; dropped')
    else {
      mendings.add('duplicate-time', rows.lines[row], 'several samples of one time; merged into one')
      const others = merged.get(unique.length - 1) ?? []
      others.push(row)
      merged.set(unique.length - 1, others)
    }
  }
  if (unique.length < 2) {
    throw new InputError('time-not-rising', 'the time column holds one and the same time throughout', {
      remedy: 'pick another with --time "NAME", or give the sampling interval with --every 1s',
    })
  }
  return {
    rows: unique,
    timesS: fromZero(unique.map((row) => seconds[row]!)),
    merged,
  }
}

function fromZero(times: readonly number[]): number[] {
  const first = times[0] ?? 0
  return times.map((time) => time - first)
}

/**
 * Resolution of the stamps when samples come faster than it: equal stamps again and again among whole steps, and not
 * simply rows written twice.
 */
function coarseResolution(
  times: readonly number[],
  kept: readonly number[],
  rows: SampleRows,
): number | undefined {
  const steps = times.slice(1).map((time, i) => time - times[i]!)
  const equal = steps.filter((step) => step === 0).length
  if (equal === 0) return undefined
  const risingSteps = steps.filter((step) => step > 0).sort((a, b) => a - b)
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
