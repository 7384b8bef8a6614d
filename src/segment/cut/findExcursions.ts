import { quantile } from '../../numeric/statistics/quantile.js'

/** What is over within so long, or so many samples of a coarse log, is a moment, s; common practice, no source. */
const LONGEST_S = 3
const MOST_SAMPLES = 2
/** Farther from the power around it than so many noise scales, and than this share of it. */
const FAR_SCALES = 6
const FAR_SHARE = 0.05
/** So many samples on either side agree to this share of its size, and so many noise scales. */
const BESIDE = 5
const AGREE_SHARE = 0.2
const AGREE_SCALES = 3
/** What fills a larger share of the time belongs to what the task does. */
const RARE_SHARE = 0.05

/**
 * Samples of moments in which power leaves its level, up or down, and comes back to it: another program wakes up, or the task
 * waits for a file. Like a spike of one sample (`findSpikes`) they are no stage and no part of a level, as long as they are rare.
 *
 * @param timesS - rising
 * @param values - as many, W
 * @param noiseScale - standard deviation of the noise, W
 * @returns places of all samples of such moments of two samples or more, in order; none where they fill more than a twentieth of the time
 */
export function findExcursions(
  timesS: Float64Array,
  values: Float64Array,
  noiseScale: number,
): readonly number[] {
  const places: number[] = []
  for (let i = BESIDE; i < values.length - BESIDE; i++) {
    const to = endOf(timesS, values, { from: i, noiseScale })
    for (; i < to; i++) places.push(i)
  }
  return places.length <= RARE_SHARE * values.length ? places : []
}

interface Begin {
  readonly from: number
  readonly noiseScale: number
}

/** Where a moment that begins at a sample ends; there itself where none begins. */
function endOf(timesS: Float64Array, values: Float64Array, { from, noiseScale }: Begin): number {
  const step = values[from]! - values[from - 1]!
  if (!isFar(step, values[from - 1]!, noiseScale)) return from
  const beforeW = quantile(values.subarray(from - BESIDE, from), 0.5)
  const away = (i: number) => (values[i]! - beforeW) * Math.sign(step)
  let to = from
  while (to < values.length && away(to) > FAR_SCALES * noiseScale && away(to) > FAR_SHARE * beforeW) {
    if (to - from >= MOST_SAMPLES && timesS[to]! - timesS[from - 1]! > LONGEST_S) return from
    to++
  }
  const beside = Math.max(BESIDE, to - from)
  if (to < from + 2 || to + beside > values.length || from - beside < 0) return from
  const sizeW = Math.max(...Array.from({ length: to - from }, (_, k) => away(from + k)))
  const slackW = AGREE_SHARE * sizeW + AGREE_SCALES * noiseScale
  const isBack = (range: Float64Array) => Math.abs(quantile(range, 0.5) - beforeW) <= slackW
  const sides = [values.subarray(from - beside, from), values.subarray(to, to + beside)]
  return sides.every(isBack) && Math.abs(values[to]! - beforeW) <= slackW ? to : from
}

function isFar(step: number, levelW: number, noiseScale: number): boolean {
  return Math.abs(step) >= FAR_SCALES * noiseScale && Math.abs(step) >= FAR_SHARE * Math.abs(levelW)
}
