import type { IndexRange } from '../indexRange.js'
import type { Cycles } from './cycles.js'
import { ALIKE_SHARE, findCycles } from './findCycles.js'
import type { Series } from './fitPiece.js'

/** A stretch with the course of its cycles' means in place of its swing, where it has one. */
export function withoutSwing(series: Series): Series {
  const cycles = findCycles(series)
  return cycles === null ? series : averageCycles(series, cycles)
}

/**
 * The samples of a stretch with the course of the means of its cycles in place of the swing: what the swing comes to is then a level or a
 * fall like any other. Between the middles of two cycles the course is a straight line.
 *
 * The cycle that the end breaks off has no mean of its own; the course goes on there as at the last one.
 */
function averageCycles(series: Series, cycles: Cycles): Series {
  const powerW = series.powerW.slice()
  const weights = series.weights.slice()
  const middles = cycles.edges
    .slice(1)
    .map((to, k) => middleOf(series, cycles, { from: cycles.edges[k]!, to }))
  const first = cycles.edges[0]!
  for (let i = first, k = 0; i < powerW.length; i++) {
    while (k < middles.length && series.timesS[i]! > middles[k]!.timeS) k++
    powerW[i] = between(middles[k - 1] ?? middles[0]!, middles[k] ?? middles.at(-1)!, series.timesS[i]!)
  }
  weights.fill(1, first)
  return { ...series, powerW, weights, cycles }
}

interface Middle {
  readonly timeS: number
  readonly meanW: number
}

/** Time-mean of a cycle, W; a sample speaks for the time since the one before. */
function middleOf(series: Series, cycles: Cycles, { from, to }: IndexRange): Middle {
  const { timesS, powerW } = series
  const startS = timesS[from - 1] ?? timesS[from]!
  const endS = timesS[to - 1]!
  let [joules, seconds] = [0, 0]
  for (let i = Math.max(from, 1); i < to; i++) {
    if (isStray(series, cycles, i)) continue
    const lastsS = timesS[i]! - timesS[i - 1]!
    joules += powerW[i]! * lastsS
    seconds += lastsS
  }
  return { timeS: (startS + endS) / 2, meanW: joules / seconds }
}

/** A sample set aside that lies beyond both levels: within them it may be a phase of its own. */
function isStray({ powerW, weights }: Series, { lowW, highW }: Cycles, i: number): boolean {
  const slackW = ALIKE_SHARE * (highW - lowW)
  return weights[i] === 0 && (powerW[i]! < lowW - slackW || powerW[i]! > highW + slackW)
}

function between(before: Middle, after: Middle, timeS: number): number {
  const share = (timeS - before.timeS) / (after.timeS - before.timeS)
  return after.timeS > before.timeS ? before.meanW + share * (after.meanW - before.meanW) : before.meanW
}
