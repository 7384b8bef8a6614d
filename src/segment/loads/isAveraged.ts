import type { Trace } from '../../log/trace.js'
import { estimateNoise } from '../../numeric/statistics/noise.js'
import type { Span } from './findSpans.js'
import { stepNoise } from './stepNoise.js'

/** A sample this far from idle and from work, as a share of their difference and in noise scales, lies in between. */
const BETWEEN_SHARE = 0.05
const BETWEEN_SCALES = 4
/** Of noise as wide as this share of their difference nothing in between could be told. */
const WIDEST_SHARE = 0.45
/** Fewest samples of a run whose edges tell. */
const SHORTEST = 4

/**
 * Whether a logger notes means over its intervals, or the power at an instant.
 *
 * Work begins and ends within a sample, so means show an in-between sample at nine of ten edges, instants at none. Two edges at least have to
 * be without one, so that means pass for instants in one case of a hundred; an edge of work that scatters too widely tells nothing.
 *
 * @returns undefined where fewer than two edges tell
 */
export function isAveraged(trace: Trace, spans: readonly Span[]): boolean | undefined {
  // Work that varies within the log says nothing of how sharp an edge is: the run beside the edge does.
  const wholeW = estimateNoise(trace.powerW, 0).whiteScale
  let between = 0
  let edges = 0
  for (const { runs } of spans) {
    for (const { from, to, idleBeforeW, idleAfterW } of runs) {
      if (to - from < SHORTEST) continue
      const noiseW = BETWEEN_SCALES * Math.min(wholeW, stepNoise(trace.powerW.subarray(from, to)))
      const count = (idleW: number | null, at: number, step: 1 | -1) => {
        if (idleW === null) return
        const workW = Math.min(trace.powerW[at + step]!, trace.powerW[at + 2 * step]!)
        if (noiseW > WIDEST_SHARE * (workW - idleW)) return
        edges++
        if (liesBetween([trace.powerW[at - step]!, trace.powerW[at]!], idleW, workW, noiseW)) between++
      }
      count(idleBeforeW, from, 1)
      count(idleAfterW, to - 1, -1)
    }
  }
  return edges < 2 ? undefined : between > 0.25 * edges
}

function liesBetween(samplesW: readonly number[], idleW: number, workW: number, noiseW: number): boolean {
  const slackW = Math.max(BETWEEN_SHARE * (workW - idleW), noiseW)
  return samplesW.some((sampleW) => sampleW > idleW + slackW && sampleW < workW - slackW)
}
