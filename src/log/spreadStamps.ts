/**
 * Times of samples whose stamps were cut to a coarse unit (whole seconds, whole minutes): a line through the stamps
 * around each sample, held inside the unit that its stamp names.
 *
 * A stamp T of resolution R means a time in [T, T+R), on average T + R/2. Sampling is near even, so over a window of
 * neighbours the time is a straight line in the sample number; lost samples break the line, and the bounds catch that.
 *
 * @param stamps - seconds, never falling
 * @param resolutionS - what the stamps are cut to
 * @returns seconds, strictly rising, each within its stamp's unit
 * @example spreadStamps([0, 0, 1, 1], 1) // [0, 0.5, 1, 1.5] or near
 */
export function spreadStamps(stamps: readonly number[], resolutionS: number): number[] {
  const times: number[] = []
  const half = halfWindow(stamps)
  for (let i = 0; i < stamps.length; i++) {
    let [from, to] = [i, i]
    while (from > 0 && i - from < half && joined(stamps, from, resolutionS)) from--
    while (to + 1 < stamps.length && to - i < half && joined(stamps, to + 1, resolutionS)) to++
    times.push(lineAt(stamps, { from, to, at: i }) + resolutionS / 2)
  }
  return boundEach(times, stamps, resolutionS)
}

// Samples to each side that share a line: long enough to average the cut, short enough to follow a drifting rate, and
// reaching over three units of the stamp at least.
const LEAST_HALF_WINDOW = 12
const MOST_HALF_WINDOW = 600

function halfWindow(stamps: readonly number[]): number {
  const units = new Set(stamps).size
  return Math.min(MOST_HALF_WINDOW, Math.max(LEAST_HALF_WINDOW, Math.ceil((3 * stamps.length) / units)))
}

function joined(stamps: readonly number[], at: number, resolutionS: number): boolean {
  return stamps[at]! - stamps[at - 1]! <= 2.5 * resolutionS
}

/** Least-squares line through stamps [from, to], at index `at`. */
function lineAt(
  stamps: readonly number[],
  { from, to, at }: { from: number; to: number; at: number },
): number {
  const n = to - from + 1
  const meanIndex = (from + to) / 2
  let [sum, slopeTop, slopeBottom] = [0, 0, 0]
  for (let k = from; k <= to; k++) sum += stamps[k]! - stamps[at]!
  const mean = sum / n
  for (let k = from; k <= to; k++) {
    slopeTop += (k - meanIndex) * (stamps[k]! - stamps[at]! - mean)
    slopeBottom += (k - meanIndex) ** 2
  }
  return stamps[at]! + mean + (slopeBottom > 0 ? (slopeTop / slopeBottom) * (at - meanIndex) : 0)
}

/** Holds each time inside its unit; those that share a unit keep a least distance, so that times rise strictly. */
function boundEach(times: readonly number[], stamps: readonly number[], resolutionS: number): number[] {
  const bounded: number[] = []
  for (let start = 0; start < stamps.length; ) {
    let end = start + 1
    while (end < stamps.length && stamps[end] === stamps[start]) end++
    const spacing = resolutionS / (2 * (end - start))
    for (let k = start; k < end; k++) {
      const low = Math.max(stamps[start]!, k > start ? bounded[k - 1]! + spacing : Number.NEGATIVE_INFINITY)
      const high = stamps[start]! + resolutionS - (end - k) * spacing
      bounded.push(Math.max(low, Math.min(times[k]!, high)))
    }
    start = end
  }
  return bounded
}
