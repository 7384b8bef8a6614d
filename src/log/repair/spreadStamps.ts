/**
 * Times of samples whose stamps were cut to a coarse unit (whole seconds, whole minutes).
 *
 * Where the stamp moves on to T between two samples, the true time T lies between them: at half a sample, on average.
 * Sampling is near even, so a straight line in the sample number through the moves around a sample gives its time.
 * Lost samples break the line; each time is therefore held inside the unit that its stamp names.
 *
 * @param stamps - seconds, never falling
 * @param resolutionS - what the stamps are cut to
 * @returns seconds, strictly rising, each in [stamp, stamp + resolution)
 * @example spreadStamps(Float64Array.of(0, 0, 1, 1, 2, 2), 1) // [0.25, 0.75, 1.25, 1.75, 2.25, 2.75]
 */
export function spreadStamps(stamps: Float64Array, resolutionS: number): Float64Array {
  const times = new Float64Array(stamps.length)
  for (let start = 0; start < stamps.length; ) {
    let end = start + 1
    while (end < stamps.length && stamps[end]! - stamps[end - 1]! <= LONGEST_STEP * resolutionS) end++
    lineThroughMoves(stamps, { start, end, resolutionS }, times)
    start = end
  }
  return boundEach(times, stamps, resolutionS)
}

// A longer step, in units of the stamp, is a gap: sampling on its two sides has nothing in common.
const LONGEST_STEP = 2.5
// Moves on each side of a sample that share a line: enough to average the half sample, few enough to follow a drift.
const MOVES_ON_A_SIDE = 10

interface CoarseStretch {
  readonly start: number
  readonly end: number
  readonly resolutionS: number
}

/** Writes the times of one stretch without gaps. */
function lineThroughMoves(
  stamps: Float64Array,
  { start, end, resolutionS }: CoarseStretch,
  times: Float64Array,
): void {
  const moves: { readonly index: number; readonly timeS: number }[] = []
  for (let i = start + 1; i < end; i++) {
    const step = stamps[i]! - stamps[i - 1]!
    if (step > 0 && step < 1.5 * resolutionS) moves.push({ index: i - 0.5, timeS: stamps[i]! })
  }
  let passed = 0
  for (let i = start; i < end; i++) {
    while (passed < moves.length && moves[passed]!.index < i) passed++
    const near = moves.slice(Math.max(0, passed - MOVES_ON_A_SIDE), passed + MOVES_ON_A_SIDE)
    times[i] = near.length < 2 ? stamps[i]! : lineAt(near, i)
  }
}

/** Least-squares line, at a sample number. */
function lineAt(points: readonly { readonly index: number; readonly timeS: number }[], at: number): number {
  const origin = points[0]!
  let [sumX, sumY, sumXX, sumXY] = [0, 0, 0, 0]
  for (const { index, timeS } of points) {
    const [x, y] = [index - origin.index, timeS - origin.timeS]
    sumX += x
    sumY += y
    sumXX += x * x
    sumXY += x * y
  }
  const n = points.length
  const slope = (n * sumXY - sumX * sumY) / (n * sumXX - sumX * sumX)
  return origin.timeS + sumY / n + slope * (at - origin.index - sumX / n)
}

/** Holds each time inside its unit; those that share a unit keep a least distance, so that times rise strictly. */
function boundEach(times: Float64Array, stamps: Float64Array, resolutionS: number): Float64Array {
  const bounded = new Float64Array(stamps.length)
  for (let start = 0; start < stamps.length; ) {
    let end = start + 1
    while (end < stamps.length && stamps[end] === stamps[start]) end++
    const spacing = resolutionS / (2 * (end - start))
    for (let k = start; k < end; k++) {
      const low = Math.max(stamps[start]!, k > start ? bounded[k - 1]! + spacing : Number.NEGATIVE_INFINITY)
      const high = stamps[start]! + resolutionS - (end - k) * spacing
      bounded[k] = Math.max(low, Math.min(times[k]!, high))
    }
    start = end
  }
  return bounded
}
