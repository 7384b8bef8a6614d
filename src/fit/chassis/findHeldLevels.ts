import { quantile } from '../../numeric/statistics/quantile.js'
import type { LoadRecord } from './loadRecord.js'

/** First guesses of what held a load: watts, and seconds of the first load's start until each drop. */
export interface HeldLevels {
  readonly burstW: number
  /** Level between burst and sustained; null when there is none. */
  readonly shortTermW: number | null
  readonly sustainedW: number
  /** When power first leaves the burst level, s from the load's start; null when it never does. */
  readonly firstDropS: number | null
  /** When it first leaves the short-term level for the sustained one; null without a short-term level. */
  readonly secondDropS: number | null
}

/** Smaller drops are within what a held level moves by itself; common practice, no source. */
const LEAST_DROP = 0.03

/**
 * Reads levels and drops off a record, robustly but roughly: starting points for the fit of a chassis.
 *
 * Burst: the first pass until power falls by more than noise and 3 %. Sustained: later halves of the last three passes.
 * Short-term: what follows the first drop, if it is clearly above the sustained level.
 *
 * @returns null when there are too few samples to say anything
 */
export function findHeldLevels(record: LoadRecord): HeldLevels | null {
  const samples = workSamples(record)
  if (samples.length < 6) return null
  const startW = quantile(
    samples.slice(0, 3).map((s) => s.powerW),
    0.5,
  )
  const leastDropW = Math.max(LEAST_DROP * startW, 5 * record.noiseW)
  const firstDrop = firstBelow(samples, 0, startW - leastDropW)
  const burst = samples.slice(0, firstDrop ?? samples.length).map((s) => s.powerW)
  const burstW = quantile(burst.slice(0, Math.max(1, burst.length - 1)), 0.5)
  const sustainedW = lateMedian(record, samples)
  const flat = { burstW: Math.max(burstW, sustainedW), shortTermW: null, sustainedW }
  if (firstDrop === undefined || sustainedW > burstW - leastDropW) {
    return { ...flat, firstDropS: null, secondDropS: null }
  }
  const firstDropS = samples[firstDrop]!.fromS
  const afterW = levelAfter(samples, firstDrop) ?? sustainedW
  if (afterW < sustainedW + Math.max(LEAST_DROP * sustainedW, 3 * record.noiseW)) {
    return { ...flat, firstDropS, secondDropS: null }
  }
  const secondDrop = firstBelow(samples, firstDrop, (afterW + sustainedW) / 2)
  return {
    ...flat,
    shortTermW: afterW,
    firstDropS,
    secondDropS: secondDrop === undefined ? null : samples[secondDrop]!.fromS,
  }
}

/** What follows a drop in its own pass, or, where that ends too soon, late in the next. */
function levelAfter(samples: readonly WorkSample[], drop: number): number | undefined {
  const { fromS, pass } = samples[drop]!
  const same = samples.filter((s) => s.pass === pass && s.fromS > fromS + 6 && s.fromS < fromS + 20)
  const next = samples.filter((s) => s.pass === pass + 1)
  const after = same.length >= 2 ? same : next.slice(Math.floor(next.length / 2))
  return after.length >= 2
    ? quantile(
        after.map((s) => s.powerW),
        0.5,
      )
    : undefined
}

interface WorkSample {
  readonly fromS: number
  readonly powerW: number
  readonly pass: number
}

function workSamples(record: LoadRecord): WorkSample[] {
  const samples: WorkSample[] = []
  record.pass.forEach((pass, i) => {
    if (pass >= 0) samples.push({ fromS: record.fromS[i]!, powerW: record.powerW[i]!, pass })
  })
  return samples
}

/** First of two neighbours below a level: one alone may be a spike. */
function firstBelow(samples: readonly WorkSample[], from: number, levelW: number): number | undefined {
  for (let i = from; i + 1 < samples.length; i++) {
    if (samples[i]!.powerW < levelW && samples[i + 1]!.powerW < levelW) return i
  }
  return undefined
}

function lateMedian(record: LoadRecord, samples: readonly WorkSample[]): number {
  const passes = record.passes.length
  const late = samples.filter((s) => {
    const { startS, endS } = record.passes[s.pass]!
    return s.pass >= passes - 3 && s.fromS > startS + (passes > 1 ? 0.5 : 0.85) * (endS - startS)
  })
  return quantile(
    (late.length > 0 ? late : samples.slice(-3)).map((s) => s.powerW),
    0.5,
  )
}
