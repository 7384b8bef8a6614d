import type { Trace } from '../../log/trace.js'

/** Time that work went on, seconds from the log's first sample. */
export interface PacedSpan {
  readonly startS: number
  readonly endS: number
}

/** Samples of a load that hold both a power and a pace, evenly thinned where there are too many. */
export interface PacedSamples {
  /** End of each sample's interval, s. */
  readonly timesS: Float64Array
  /** ln of work per time. */
  readonly logRates: Float64Array
  /** Time from one sample to the next, s. */
  readonly stepS: number
}

/** So many samples show every correlation that matters; more would only be gone through for longer. */
const MOST_SAMPLES = 4000

/**
 * The pace of the work in each sample of some spans, as ln of work per time. Samples in which nothing got done (a load screen, a stall)
 * have no such logarithm and are left out here; means of blocks count them.
 *
 * @param trace - with `rate`
 * @param isTime - the column holds times for fixed work, so that its inverse is the pace
 */
export function pacedSamples(trace: Trace, spans: readonly PacedSpan[], isTime: boolean): PacedSamples {
  const rate = trace.rate!
  const kept = spans.flatMap(({ startS, endS }, span) =>
    samplesWithin(trace, startS, endS)
      .filter((i) => rate[i]! > 0)
      .map((i) => ({ i, span })),
  )
  const group = Math.max(1, Math.ceil(kept.length / MOST_SAMPLES))
  const times: number[] = []
  const logs: number[] = []
  for (let at = 0; at + group <= kept.length; at += group) {
    const some = kept.slice(at, at + group).filter(({ span }) => span === kept[at]!.span)
    const paces = some.map(({ i }) => (isTime ? 1 / rate[i]! : rate[i]!))
    times.push(trace.timesS[some.at(-1)!.i]!)
    logs.push(Math.log(paces.reduce((sum, pace) => sum + pace, 0) / paces.length))
  }
  return {
    timesS: Float64Array.from(times),
    logRates: Float64Array.from(logs),
    stepS: group * trace.intervalS,
  }
}

/** Samples whose interval lies in a span. */
export function samplesWithin({ timesS, intervalS }: Trace, startS: number, endS: number): number[] {
  const inside: number[] = []
  for (let i = 0; i < timesS.length && timesS[i]! <= endS + 1e-9; i++) {
    const fromS = i === 0 ? timesS[0]! - intervalS : timesS[i - 1]!
    if (fromS >= startS - 1e-9) inside.push(i)
  }
  return inside
}
