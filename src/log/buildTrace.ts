import { InputError } from '../errors.js'
import { orderStatistic } from '../numeric/orderStatistic.js'
import type { StartOf } from './findStart.js'
import type { MendingList } from './mendingList.js'
import type { OrderedSamples } from './orderedSamples.js'
import { pickAt } from './pickAt.js'
import { stepsOf } from './stepsOf.js'
import type { Trace } from './trace.js'

/** The trace of the samples that have a power; lost samples, gaps and impossible temperatures are reported. */
export function buildTrace(
  samples: OrderedSamples,
  power: Float64Array,
  startOf: StartOf,
  mendings: MendingList,
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
  const timesS = pickAt(samples.timesS, kept).map((time) => time - originS)
  const lengthS = timesS.at(-1)!
  if (!(lengthS >= LEAST_LENGTH_S && lengthS <= MOST_LENGTH_S)) {
    throw new InputError('times-unusable', `needed a log of 1 ms to 100 years, got times over ${lengthS} s`, {
      remedy: 'pick another column with --time "NAME", or give the sampling interval with --every 1s',
    })
  }
  const lines = kept.map((i) => samples.lines[i]!)
  return {
    timesS,
    powerW: pickAt(power, kept),
    temperatureC: plausible(samples, kept, mendings),
    clockHz: possibleClock(samples, kept, mendings),
    intervalS: reportGaps(timesS, lines, mendings),
    ...startOf(kept[0]!),
  }
}

/** Places of the samples that have a power. */
function placesOf(power: Float64Array): Int32Array {
  const places = new Int32Array(power.length)
  let count = 0
  for (let i = 0; i < power.length; i++) if (!Number.isNaN(power[i])) places[count++] = i
  return places.subarray(0, count)
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
  mendings: MendingList,
): Float64Array | null {
  if (temperature === null) return null
  const [low, high] = TEMPERATURE_RANGE_C
  const bad = kept.filter((i) => temperature[i]! < low || temperature[i]! > high)
  mendings.addLines(
    'impossible-temperature',
    bad.map((i) => lines[i]!),
    `temperature outside ${low} to ${high} °C; left out`,
  )
  const values = pickAt(temperature, kept).map((value) => (value < low || value > high ? Number.NaN : value))
  return values.every((value) => Number.isNaN(value)) ? null : values
}

function possibleClock(
  { clock, lines }: OrderedSamples,
  kept: Int32Array,
  mendings: MendingList,
): Float64Array | null {
  if (clock === null) return null
  const bad = kept.filter((i) => clock[i]! < 0 || clock[i]! > MOST_CLOCK_HZ)
  mendings.addLines(
    'impossible-clock',
    bad.map((i) => lines[i]!),
    'clock below 0 or above 1 THz; left out',
  )
  const values = pickAt(clock, kept).map((hz) => (hz < 0 || hz > MOST_CLOCK_HZ ? Number.NaN : hz))
  return values.every((hz) => Number.isNaN(hz)) ? null : values
}

/** Median interval; single lost samples, and pauses of the logger, are reported and left as they are. */
function reportGaps(timesS: Float64Array, lines: Int32Array, mendings: MendingList): number {
  const steps = stepsOf(timesS)
  const intervalS = orderStatistic(steps.slice(), Math.floor(steps.length / 2))
  const lost: number[] = []
  const gaps: number[] = []
  let [lostCount, longestS] = [0, 0]
  steps.forEach((step, i) => {
    if (step > Math.max(GAP_S, GAP_INTERVALS * intervalS)) {
      gaps.push(lines[i + 1]!)
      longestS = Math.max(longestS, step)
    } else if (step > LOST_INTERVALS * intervalS) {
      lost.push(lines[i + 1]!)
      lostCount += Math.round(step / intervalS) - 1
    }
  })
  if (lost.length > 0) {
    const detail = 'samples missing; the interval that follows is longer'
    mendings.add('missing', lost[0], detail, lostCount)
  }
  mendings.addLines('gap', gaps, `no samples for up to ${Number(longestS.toPrecision(4))} s`)
  return intervalS
}
