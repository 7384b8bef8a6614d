import type { Trace } from '../../log/trace.js'
import { estimateNoise } from '../../numeric/statistics/noise.js'
import type { Span } from './findSpans.js'
import { stepNoise } from './stepNoise.js'

/** A sample this far from idle and from work, as a share of their difference and in noise scales, lies in between. */
const BETWEEN_SHARE = 0.05
const BETWEEN_SCALES = 4

/**
 * Whether a logger notes means over its intervals, or the power at an instant.
 *
 * Work begins and ends within a sample, so means show an in-between sample at nine of ten edges, instants at none. A log without an edge
 * against idle counts as means, which is what loggers mostly write. Two edges at least have to be without one, so that means pass
 * for instants in one case of a hundred.
 */
export function isAveraged(trace: Trace, spans: readonly Span[]): boolean {
  // Work that varies within the log says nothing of how sharp an edge is: the run beside the edge does.
  const wholeW = estimateNoise(trace.powerW, 0).whiteScale
  let between = 0
  let edges = 0
  for (const { runs } of spans) {
    for (const { from, to, idleBeforeW, idleAfterW } of runs) {
      const noiseW = BETWEEN_SCALES * Math.min(wholeW, stepNoise(trace.powerW.subarray(from, to)))
      if (idleBeforeW !== null && to - from >= 4) {
        edges++
        const workW = Math.min(trace.powerW[from + 1]!, trace.powerW[from + 2]!)
        if (liesBetween([trace.powerW[from - 1]!, trace.powerW[from]!], idleBeforeW, workW, noiseW)) between++
      }
      if (idleAfterW !== null && to - from >= 4) {
        edges++
        const workW = Math.min(trace.powerW[to - 2]!, trace.powerW[to - 3]!)
        if (liesBetween([trace.powerW[to - 1]!, trace.powerW[to]!], idleAfterW, workW, noiseW)) between++
      }
    }
  }
  return edges < 2 || between > 0.25 * edges
}

function liesBetween(samplesW: readonly number[], idleW: number, workW: number, noiseW: number): boolean {
  const slackW = Math.max(BETWEEN_SHARE * (workW - idleW), noiseW)
  return samplesW.some((sampleW) => sampleW > idleW + slackW && sampleW < workW - slackW)
}
