import { bisectRight } from '../../numeric/bisectRight.js'
import type { IndexRange } from '../indexRange.js'
import { FAST_S, type Series } from './fitPiece.js'
import { type Part, piecePower } from './part.js'

/** Squared residuals, W², of an edge that begins at `edgeS` and approaches the new course with the time constant `softS`. */
export type EdgeCost = (edgeS: number, softS: number) => number

/**
 * Least squares of the two levels, with the share of the earlier course in each interval as the regressor.
 *
 * That share is 1 up to the edge and nothing long after it: there running sums say what a loop over the samples would, so
 * that a trial costs only the samples just after the edge, and one exponential each.
 *
 * @param view - samples that count
 */
export function edgeCost(series: Series, view: IndexRange, before: Part, after: Part): EdgeCost {
  const { timesS, powerW, weights } = series
  const fromW = before.pieces.at(-1)!.levelW
  const next = after.pieces[0]!
  const isSlow = Number.isFinite(next.tauS) && next.tauS >= FAST_S
  const earlier = runningSums(series, view, (i) => powerW[i]! - fromW)
  const later = isSlow
    ? runningSums(series, view, (i) => powerW[i]! - fromW - piecePower(next, series, middleOf(series, i)))
    : earlier
  return (edgeS, softS) => {
    const first = bisectRight(timesS, edgeS, view.from, view.to)
    const far = Math.min(view.to, bisectRight(timesS, edgeS + FARTHEST * softS, view.from, view.to) + 1)
    const onsetW = isSlow ? piecePower(next, series, edgeS) : 0
    const sums = sumsBefore(earlier, view, first)
    // What is left of the earlier course at the beginning of a sample: exp(-(t - edge) / soft), and all of it up to the edge.
    let leftBefore = first < far ? leftAt(startOf(series, first), edgeS, softS) : 0
    for (let i = first; i < far; i++) {
      const left = leftAt(timesS[i]!, edgeS, softS)
      const f = series.averaged ? meanLeft(series, i, { edgeS, softS, leftBefore, left }) : left
      leftBefore = left
      if (weights[i] === 0) continue
      const courseW = isSlow
        ? (piecePower(next, series, Math.max(middleOf(series, i), edgeS)) - onsetW) * (1 - f)
        : 0
      addSample(sums, f, powerW[i]! - courseW - fromW)
    }
    addLater(sums, later, { from: far - view.from, to: view.to - view.from }, onsetW)
    return residualOf(sums)
  }
}

/** exp(-37) is below the last digit of 1: later than so many time constants nothing is left of the earlier course. */
const FARTHEST = 37

/** Sums over samples of the shares f of the earlier course and g = 1 - f of the later one, and of power above the earlier level. */
interface EdgeSums {
  ff: number
  fg: number
  gg: number
  fy: number
  gy: number
  yy: number
}

/** Entry k: count, sum and sum of squares of the first k samples of a view. */
interface RunningSums {
  readonly count: Float64Array
  readonly sum: Float64Array
  readonly square: Float64Array
}

function runningSums({ weights }: Series, view: IndexRange, valueW: (i: number) => number): RunningSums {
  const size = view.to - view.from + 1
  const [count, sum, square] = [new Float64Array(size), new Float64Array(size), new Float64Array(size)]
  for (let k = 1; k < size; k++) {
    const weight = weights[view.from + k - 1] === 0 ? 0 : 1
    const value = weight * valueW(view.from + k - 1)
    count[k] = count[k - 1]! + weight
    sum[k] = sum[k - 1]! + value
    square[k] = square[k - 1]! + value * value
  }
  return { count, sum, square }
}

function sumsBefore(earlier: RunningSums, view: IndexRange, first: number): EdgeSums {
  const k = first - view.from
  const yy = earlier.square[k]!
  return { ff: earlier.count[k]!, fg: 0, gg: 0, fy: earlier.sum[k]!, gy: 0, yy }
}

function addSample(sums: EdgeSums, f: number, y: number): void {
  const g = 1 - f
  sums.ff += f * f
  sums.fg += f * g
  sums.gg += g * g
  sums.fy += f * y
  sums.gy += g * y
  sums.yy += y * y
}

/** Samples that belong to the later course alone; it counts from its power at the edge. */
function addLater(sums: EdgeSums, later: RunningSums, { from, to }: IndexRange, onsetW: number): void {
  const count = later.count[to]! - later.count[from]!
  const sum = later.sum[to]! - later.sum[from]!
  sums.gg += count
  sums.gy += sum + count * onsetW
  sums.yy += later.square[to]! - later.square[from]! + onsetW * (2 * sum + count * onsetW)
}

function residualOf({ ff, fg, gg, fy, gy, yy }: EdgeSums): number {
  const det = ff * gg - fg * fg
  if (!(det > 1e-9 * ff * gg)) return Number.POSITIVE_INFINITY
  const a = (fy * gg - gy * fg) / det
  const b = (gy * ff - fy * fg) / det
  return Math.max(0, yy - a * fy - b * gy)
}

function startOf({ timesS }: Series, i: number): number {
  return i > 0 ? timesS[i - 1]! : timesS[0]! - (timesS[1]! - timesS[0]!)
}

function middleOf(series: Series, i: number): number {
  return 0.5 * (startOf(series, i) + series.timesS[i]!)
}

function leftAt(timeS: number, edgeS: number, softS: number): number {
  return timeS <= edgeS ? 1 : Math.exp((edgeS - timeS) / softS)
}

interface EdgeDecline {
  readonly edgeS: number
  readonly softS: number
  /** What is left of the earlier course at the beginning and at the end of the sample. */
  readonly leftBefore: number
  readonly left: number
}

/** Mean over a sample's interval of what is left of the earlier course. */
function meanLeft(series: Series, i: number, { edgeS, softS, leftBefore, left }: EdgeDecline): number {
  const startS = startOf(series, i)
  const lengthS = series.timesS[i]! - startS
  return (Math.max(0, edgeS - startS) + softS * (leftBefore - left)) / lengthS
}
