import type { SampleSums } from './sampleSums.js'

/** A relaxation of any length between the steps is cut finely enough. */
export const FULL_DETAIL: CutDetail = { every: 240, grid: 160, most: 420, tauFactor: 1.5, polishSteps: 14 }

/** Enough to tell the noise: every step is still cut where it is, only slow courses more roughly. */
export const ROUGH_DETAIL: CutDetail = { every: 40, grid: 30, most: 120, tauFactor: 1.5 ** 2, polishSteps: 6 }

/** Windows of the step statistic, samples. */
const WINDOWS = [1, 2, 4, 8, 16, 32, 64]

/**
 * Sample indices at which a piece may begin: all of them in a short series; in a long one an even grid, and every
 * place where the means of the samples before and after differ by more than chance, at one of several window lengths,
 * with its neighbours.
 *
 * Time is linear in the samples.
 */
export function findCandidates(
  sums: SampleSums,
  noiseScale: number,
  { every, grid, most }: CutDetail,
): readonly number[] {
  const n = sums.series.timesS.length
  if (n <= every) return Array.from({ length: n }, (_, i) => i)
  const chosen = new Set<number>([0])
  const step = n / grid
  for (let g = 1; g < grid; g++) chosen.add(Math.round(g * step))
  for (const at of strongestSteps(sums, noiseScale)) {
    if (chosen.size > most) break
    for (let i = Math.max(0, at - 2); i <= Math.min(n - 1, at + 2); i++) chosen.add(i)
  }
  return [...chosen].sort((a, b) => a - b)
}

/** Standard errors that a step has to exceed. */
const LEAST_STRENGTH = 4

/** Local maxima of the step statistic above 4 standard errors, strongest first. */
function strongestSteps(sums: SampleSums, noiseScale: number): readonly number[] {
  const n = sums.series.timesS.length
  const found: { at: number; strength: number }[] = []
  const isWhole = sums.weight[n] === n
  for (const window of WINDOWS) {
    if (2 * window > n) break
    collectMaxima(
      { sums: sums.power, weights: sums.weight, isWhole, window, noiseScale, leastStep: 0 },
      found,
    )
  }
  found.sort((a, b) => b.strength - a.strength)
  return found.map((step) => step.at)
}

interface StepScan {
  readonly sums: Float64Array
  readonly weights: Int32Array
  /** No sample is set aside. */
  readonly isWhole: boolean
  readonly window: number
  readonly noiseScale: number
  /** Steps below this, W, need no second look. */
  leastStep: number
}

function collectMaxima(scan: StepScan, found: { at: number; strength: number }[]): void {
  const n = scan.sums.length - 1
  // A smaller step is below the least strength, however few samples it is taken from.
  scan.leastStep = 0.999 * LEAST_STRENGTH * scan.noiseScale * Math.sqrt(2 / scan.window)
  let bestAt = -1
  let best = LEAST_STRENGTH
  for (let i = 1; i < n; i++) {
    const strength = stepStrength(scan, i)
    if (bestAt >= 0 && i - bestAt > scan.window) {
      found.push({ at: bestAt, strength: best })
      bestAt = -1
      best = LEAST_STRENGTH
    }
    if (strength > best) {
      best = strength
      bestAt = i
    }
  }
  if (bestAt >= 0) found.push({ at: bestAt, strength: best })
}

function stepStrength(scan: StepScan, at: number): number {
  const n = scan.sums.length - 1
  const from = Math.max(0, at - scan.window)
  const to = Math.min(n, at + scan.window)
  const before = scan.isWhole ? at - from : scan.weights[at]! - scan.weights[from]!
  const after = scan.isWhole ? to - at : scan.weights[to]! - scan.weights[at]!
  if (before < 1 || after < 1) return 0
  if (
    before === after &&
    Math.abs(scan.sums[to]! - 2 * scan.sums[at]! + scan.sums[from]!) < scan.leastStep * after
  )
    return 0
  const step = (scan.sums[to]! - scan.sums[at]!) / after - (scan.sums[at]! - scan.sums[from]!) / before
  if (Math.abs(step) < scan.leastStep) return 0
  return Math.abs(step) / (scan.noiseScale * Math.sqrt(1 / before + 1 / after))
}

/** How closely a cut is looked for; the search is quadratic in the candidates. */
export interface CutDetail {
  /** Up to so many samples each is a candidate. */
  readonly every: number
  /** Cells of the even grid in longer series. */
  readonly grid: number
  /** Most candidates. */
  readonly most: number
  /** From one time constant of the search to the next. */
  readonly tauFactor: number
  /** Steps of golden section by which a time constant is freed from the search's ladder; each keeps 62 % of the bracket. */
  readonly polishSteps: number
}
