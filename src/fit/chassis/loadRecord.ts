import type { Trace } from '../../log/trace.js'
import { mean } from '../../numeric/statistics/moments.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Load } from '../../segment/load.js'
import { findIdlePower } from './findIdlePower.js'

/** A stretch of work as measured; seconds count from the start of the load's first. */
export interface RecordedPass {
  readonly startS: number
  readonly endS: number
}

/**
 * What a chassis fit sees of one load: mean power of each sampling interval, and which of them show undisturbed work.
 * Arrays have equal length; seconds count from the start of the first pass, so that samples before it have negative times.
 */
export interface LoadRecord {
  readonly idleW: number
  /** Whether idle power was seen; otherwise `idleW` is a guess. */
  readonly idleSeen: boolean
  readonly passes: readonly RecordedPass[]
  readonly fromS: Float64Array
  readonly toS: Float64Array
  readonly powerW: Float64Array
  readonly temperatureC: Float64Array | null
  /** Pass that an interval lies inside of, -1 for pauses, edges and spikes. */
  readonly pass: Int16Array
  readonly noiseW: number
  readonly autocorrelation: number
  readonly intervalS: number
}

/**
 * Prepares a load of a trace for fitting: passes with edges finer than the sampling, idle power, and clean samples.
 *
 * An edge inside a sampling interval shows as one in-between sample; its energy above idle, over the power beside it, tells
 * when inside the interval work began or ended.
 *
 * @param trace - power over time
 * @param load - one of its loads
 * @param laterThanS - samples up to here belong to an earlier load
 */
export function makeLoadRecord(trace: Trace, load: Load, laterThanS = Number.NEGATIVE_INFINITY): LoadRecord {
  const idle = idlePower(trace, load)
  const spans = load.runs.length > 0 ? load.runs : [{ startS: load.startS, endS: load.endS }]
  const edges = spans.map((span) => refineEdges(trace, span, idle.powerW))
  const originS = edges[0]!.startS
  const passes = edges.map(({ startS, endS }) => ({ startS: startS - originS, endS: endS - originS }))
  const kept = indicesWhere(trace.timesS, (t) => t > laterThanS && t <= load.endS + 5 * trace.intervalS)
  const toS = Float64Array.from(kept, (i) => trace.timesS[i]! - originS)
  const fromS = Float64Array.from(kept, (i) => intervalStart(trace, i) - originS)
  const spikes = new Set(load.spikesAtS.map((t) => Math.round((t - originS) * 1e3)))
  return {
    idleW: idle.powerW,
    idleSeen: idle.seen,
    passes,
    fromS,
    toS,
    powerW: Float64Array.from(kept, (i) => trace.powerW[i]!),
    temperatureC: trace.temperatureC ? Float64Array.from(kept, (i) => trace.temperatureC![i]!) : null,
    pass: passOfSamples(passes, { fromS, toS, intervalS: trace.intervalS }, spikes),
    noiseW: load.noiseW,
    autocorrelation: load.autocorrelation,
    intervalS: trace.intervalS,
  }
}

/** Seconds from each sample to the one before it: what a running average over a record steps by, gaps included. */
export function sampleSteps({ toS, fromS }: LoadRecord): Float64Array {
  return toS.map((t, i) => (i > 0 ? t - toS[i - 1]! : t - fromS[0]!))
}

/** A sample after a gap speaks for one interval of the logger, not for the gap. */
function intervalStart({ timesS, intervalS }: Trace, i: number): number {
  const before = i > 0 ? timesS[i - 1]! : Number.NEGATIVE_INFINITY
  return timesS[i]! - before > LONGEST_INTERVAL * intervalS ? timesS[i]! - intervalS : before
}

/** In sampling intervals: longer steps are gaps, shorter ones jitter. */
const LONGEST_INTERVAL = 1.5

/** Idle power as a share of the load's, where none was seen: common practice, no source. */
const IDLE_SHARE_GUESSED = 0.06

function idlePower(trace: Trace, load: Load): { powerW: number; seen: boolean } {
  const seenW = findIdlePower(trace, load)
  if (seenW !== undefined) return { powerW: seenW, seen: true }
  return { powerW: IDLE_SHARE_GUESSED * quantile(Array.from(trace.powerW), 0.9), seen: false }
}

function refineEdges(trace: Trace, span: RecordedPass, idleW: number): RecordedPass {
  const { timesS, powerW } = trace
  const first = indicesWhere(timesS, (t) => t > span.startS + 1e-9)[0] ?? 0
  const afterLast = timesS.findIndex((t) => t > span.endS + 1e-9)
  const last = (afterLast < 0 ? timesS.length : afterLast) - 1
  // The first whole samples of a run may hold a burst and its end: the highest two are the power that it began with.
  const beginsW = mean(
    powerW
      .slice(first + 1, first + 4)
      .sort()
      .slice(-2),
  )
  const endsW = mean(powerW.slice(Math.max(0, last - 3), last))
  return {
    startS:
      first < 2
        ? span.startS
        : timesS[first]! - workedS(trace, first - 1, first, { idleW, workW: beginsW ?? 0 }),
    endS:
      last + 2 >= timesS.length
        ? span.endS
        : timesS[last - 1]! + workedS(trace, last, last + 1, { idleW, workW: endsW ?? 0 }),
  }
}

/** Seconds of work at `workW` that hold the energy above idle of samples `from` to `to`. */
function workedS(
  trace: Trace,
  from: number,
  to: number,
  levels: { readonly idleW: number; readonly workW: number },
): number {
  let joules = 0
  for (let i = Math.max(1, from); i <= to; i++) {
    joules += Math.max(0, trace.powerW[i]! - levels.idleW) * (trace.timesS[i]! - intervalStart(trace, i))
  }
  const lastS = trace.timesS[to]! - intervalStart(trace, Math.max(1, from))
  return Math.min(joules / Math.max(levels.workW - levels.idleW, 1e-9), MOST_WORKED * lastS)
}

/** Noise may make work look longer than the samples that hold it, by a part; a level that is hardly above idle, by years. */
const MOST_WORKED = 2

function passOfSamples(
  passes: readonly RecordedPass[],
  samples: { readonly fromS: Float64Array; readonly toS: Float64Array; readonly intervalS: number },
  spikes: ReadonlySet<number>,
): Int16Array {
  // A jittered clock can put an edge a little outside its interval.
  const marginS = 0.1 * samples.intervalS
  return Int16Array.from(samples.toS, (toS, i) => {
    if (spikes.has(Math.round(toS * 1e3))) return -1
    return passes.findIndex((p) => samples.fromS[i]! >= p.startS + marginS && toS <= p.endS - marginS)
  })
}

function indicesWhere(times: Float64Array, wanted: (t: number) => boolean): number[] {
  const indices: number[] = []
  for (let i = 0; i < times.length; i++) if (wanted(times[i]!)) indices.push(i)
  return indices
}
