import { bisectRight } from '../../numeric/bisectRight.js'
import { medianAbsoluteDeviation } from '../../numeric/statistics/medianAbsoluteDeviation.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Series } from '../cut/fitPiece.js'
import { partPower } from '../cut/part.js'
import type { Stretch } from '../cut/stretch.js'

/** A rise that has been level for so long at its end heads nowhere else, s and samples: it met a limit, or the task asks for no more. Common practice, no source. */
const LEVEL_S = 10
const PIECE_SAMPLES = 8
/** So many samples of the end tell by themselves, where its last piece does not. */
const END_SAMPLES = 16
/** What is left of a course's climb at its end, as a share of it, where that is level; and by how many standard errors that is sure. */
const LEFT_SHARE = 1 / 3
const SURE = 3
/** Standard error of the difference of two medians of n / 2 normal values each, times sqrt(n), in standard deviations: sqrt(2 pi). */
const OF_MEDIANS = Math.sqrt(2 * Math.PI)

/**
 * Sample from which a rise is level at its end: its last piece is flat, or its last samples climb no more though its course as a whole would. Where
 * the way up scatters more than the end, as with work that comes and goes less and less, one course passes for both.
 *
 * @returns null where it climbs to the end, or where that can't be told
 */
export function levelSince(stretch: Stretch): number | null {
  const { part, run } = stretch
  const { timesS } = run.series
  const last = part.pieces.at(-1)!
  const lengthS = timesS[part.to - 1]! - timesS[last.from]!
  if (last.amplitudeW === 0 && part.to - last.from >= PIECE_SAMPLES && lengthS >= LEVEL_S) return last.from
  const from = Math.min(part.to - END_SAMPLES, bisectRight(timesS, timesS[part.to - 1]! - LEVEL_S))
  return from > part.from && climbsNoMore(stretch, from) ? from : null
}

function climbsNoMore({ part, run: { series } }: Stretch, from: number): boolean {
  const middle = (from + part.to) >> 1
  const [before, after] = [middleOf(series, from, middle), middleOf(series, middle, part.to)]
  const climbW = partPower(part, series, after.timeS) - partPower(part, series, before.timeS)
  const errorW = (OF_MEDIANS * Math.max(before.scatterW, after.scatterW)) / Math.sqrt(part.to - from)
  return climbW > 0 && after.levelW - before.levelW + SURE * errorW < LEFT_SHARE * climbW
}

/** Median of some samples, what scatters about it, and the time in their middle. */
function middleOf({ timesS, powerW }: Series, from: number, to: number) {
  const some = powerW.subarray(from, to)
  const levelW = quantile(some, 0.5)
  return {
    levelW,
    scatterW: medianAbsoluteDeviation(some.map((watts) => watts - levelW)),
    timeS: (timesS[from]! + timesS[to - 1]!) / 2,
  }
}
