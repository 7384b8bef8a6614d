import { InputError } from '../../errors.js'
import { quickselect } from '../../numeric/quickselect.js'
import { usualSteps } from '../time/stepsOf.js'
import type { Trace } from '../trace.js'
import type { StartOf } from './findStart.js'
import type { OrderedSamples } from './orderedSamples.js'
import { placesOf } from './orderedSamples.js'
import { pickAt } from './pickAt.js'
import type { RepairList } from './repairList.js'

/** The trace of the samples that have a power; lost samples, gaps and impossible temperatures are reported. */
export function buildTrace(
  samples: OrderedSamples,
  power: Float64Array,
  startOf: StartOf,
  repairs: RepairList,
): Trace {
  const kept = placesOf(power)
  if (kept.length < 2) {
    throw new InputError(
      'too-few-samples',
      `needed at least 2 samples with a possible power, got ${kept.length}`,
      {
        remedy: 'pick another column with --power "NAME"',
      },
    )
  }
  const originS = samples.timesS[kept[0]!]!
  const timesS = since(pickAt(samples.timesS, kept), originS)
  const lengthS = timesS.at(-1)!
  if (!(lengthS >= LEAST_LENGTH_S && lengthS <= MOST_LENGTH_S)) {
    throw new InputError('times-unusable', `needed a log of 1 ms to 100 years, got times over ${lengthS} s`, {
      remedy: 'pick another column with --time "NAME", or give the sampling interval with --every 1s',
    })
  }
  const lines = pickAt(samples.lines, kept)
  return {
    timesS,
    powerW: pickAt(power, kept),
    temperatureC: plausible(samples, kept, repairs),
    clockHz: possibleClock(samples, kept, repairs),
    intervalS: reportGaps(timesS, lines, repairs),
    ...startOf(kept[0]!),
  }
}

function since(timesS: Float64Array, originS: number): Float64Array {
  if (originS === 0) return timesS
  return timesS.map((time) => time - originS)
}

// Outside of these the column is no time, or its stamps are broken beyond mending.
const LEAST_LENGTH_S = 1e-3
const MOST_LENGTH_S = 100 * 366 * 86_400

// A silicon sensor reads between these; 0xFF and the like lie outside.
const TEMPERATURE_RANGE_C = [-60, 200] as const

// A hundred times what any chip does.
const MOST_CLOCK_HZ = 1e12

// A step this many times the usual one has lost a sample: jitter of half an interval is common.
const LOST_INTERVALS = 1.6
// A pause that is longer than both is a gap in the log rather than a few lost samples.
const GAP_INTERVALS = 10
const GAP_S = 5

function plausible(
  { temperature, lines }: OrderedSamples,
  kept: Int32Array,
  repairs: RepairList,
): Float64Array | null {
  if (temperature === null) return null
  const [low, high] = TEMPERATURE_RANGE_C
  const { values, bad } = within(temperature, kept, { low, high })
  repairs.addLines(
    'impossible-temperature',
    pickLines(lines, bad),
    `temperature outside ${low} to ${high} °C; left out`,
  )
  return values
}

function possibleClock(
  { clock, lines }: OrderedSamples,
  kept: Int32Array,
  repairs: RepairList,
): Float64Array | null {
  if (clock === null) return null
  const { values, bad } = within(clock, kept, { low: 0, high: MOST_CLOCK_HZ })
  repairs.addLines('impossible-clock', pickLines(lines, bad), 'clock below 0 or above 1 THz; left out')
  return values
}

/** Values at the kept places, NaN for those outside a range, whose places are told; null when none is left. */
function within(
  column: Float64Array,
  kept: Int32Array,
  { low, high }: { readonly low: number; readonly high: number },
): { readonly values: Float64Array | null; readonly bad: readonly number[] } {
  const picked = pickAt(column, kept)
  const bad: number[] = []
  let known = 0
  for (let i = 0; i < picked.length; i++) {
    const value = picked[i]!
    if (value < low || value > high) bad.push(i)
    else if (!Number.isNaN(value)) known++
  }
  return { values: known === 0 ? null : without(picked, bad), bad: bad.map((i) => kept[i]!) }
}

/** Values with NaN at some places. */
function without(values: Float64Array, places: readonly number[]): Float64Array {
  if (places.length === 0) return values
  const rest = values.slice()
  for (const place of places) rest[place] = Number.NaN
  return rest
}

function pickLines(lines: Int32Array, places: readonly number[]): Int32Array {
  return Int32Array.from(places, (i) => lines[i]!)
}

/** Median interval; single lost samples, and pauses of the logger, are reported and left as they are. */
function reportGaps(timesS: Float64Array, lines: Int32Array, repairs: RepairList): number {
  const usual = usualSteps(timesS)
  const intervalS = quickselect(usual, Math.floor(usual.length / 2))
  const lost: number[] = []
  const gaps: number[] = []
  let [lostCount, longestS] = [0, 0]
  for (let i = 0; i + 1 < timesS.length; i++) {
    const step = timesS[i + 1]! - timesS[i]!
    if (step > Math.max(GAP_S, GAP_INTERVALS * intervalS)) {
      gaps.push(lines[i + 1]!)
      longestS = Math.max(longestS, step)
    } else if (step > LOST_INTERVALS * intervalS) {
      lost.push(lines[i + 1]!)
      lostCount += Math.round(step / intervalS) - 1
    }
  }
  if (lost.length > 0) {
    const detail = 'samples missing; the interval that follows is longer'
    repairs.add('missing', lost[0], detail, lostCount)
  }
  repairs.addLines('gap', gaps, `no samples for up to ${Number(longestS.toPrecision(4))} s`)
  return intervalS
}
