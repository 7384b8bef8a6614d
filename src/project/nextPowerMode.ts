import type { Chip } from '../curves/chip.js'
import { rateAt } from '../curves/scoreCurve.js'
import { ESTIMATE_LEVEL } from '../numeric/estimate.js'
import { weightedQuantiles } from '../numeric/quantile.js'

/** A further power mode to test in, and what it promises: full widths of 90 % intervals in per cent of the score. */
export interface NextMode {
  /** Sustained power of the mode, W. */
  readonly powerW: number
  /** Runs in it. */
  readonly runs: number
  /** Powers that one may want to project to, W: the widths are means over them. */
  readonly rangeW: readonly [number, number]
  readonly widthBeforePct: number
  readonly widthAfterPct: number
}

/**
 * Which further power mode would narrow projections the most.
 *
 * Each posterior draw in turn is taken for the truth: it says what the new runs would score, and Bayes' rule with those scores
 * what the other draws would then weigh. The mean width of the projections' intervals over truths is what a mode promises;
 * powers from half to one and a half times the measured ones compete.
 *
 * @param scatter - relative standard deviation of a run's score
 * @returns null when no mode would narrow the intervals by a tenth
 * @source preposterior analysis: H. Raiffa, R. Schlaifer (1961), Applied Statistical Decision Theory, chapter 5
 */
export function nextPowerMode(chip: Chip, scatter: number): NextMode | null {
  const [low, high] = chip.measuredRangeW
  const rangeW = [PROJECTED[0] * low, PROJECTED[1] * high] as const
  const aims = spread(rangeW, AIMS)
  const table = logRates(chip, aims)
  const before = meanWidth(
    table,
    chip.draws.map((draw) => draw.weight),
  )
  const candidates = spread([CANDIDATES[0] * low, CANDIDATES[1] * high], MODES)
    .filter((powerW) => chip.demandW === null || powerW < chip.demandW)
    .map((powerW) => ({ powerW, after: promisedWidth(chip, table, powerW, scatter / Math.sqrt(RUNS)) }))
  if (candidates.length === 0) return null
  const best = candidates.reduce((a, b) => (b.after < a.after ? b : a))
  if (!(best.after < 0.9 * before)) return null
  return {
    powerW: best.powerW,
    runs: RUNS,
    rangeW,
    widthBeforePct: 100 * before,
    widthAfterPct: 100 * best.after,
  }
}

/** Runs that a further mode takes: enough for a mean. */
const RUNS = 3
/** Powers that are projected to, and modes that compete, as shares of the measured range's ends. */
const PROJECTED = [0.7, 1.4] as const
const CANDIDATES = [0.5, 1.5] as const
const AIMS = 7
const MODES = 21
/** Draws that are taken for the truth. */
const TRUTHS = 60

function spread([low, high]: readonly [number, number], count: number): number[] {
  return Array.from({ length: count }, (_, i) => low * (high / low) ** (i / (count - 1)))
}

/** ln rate of every draw at every aim: rows are aims. A draw that does no work there gets the least of the others. */
function logRates(chip: Chip, powersW: readonly number[]): number[][] {
  return powersW.map((powerW) => {
    const rates = chip.draws.map(({ curve }) => rateAt(curve, powerW))
    const least = Math.min(...rates.filter((rate) => rate > 0))
    return rates.map((rate) => Math.log(rate > 0 ? rate : least))
  })
}

function meanWidth(table: readonly (readonly number[])[], weights: readonly number[]): number {
  const tail = (1 - ESTIMATE_LEVEL) / 2
  const widths = table.map((row) => {
    const [low, high] = weightedQuantiles(row, weights, [tail, 1 - tail])
    return Math.expm1(high! - low!)
  })
  return widths.reduce((sum, width) => sum + width, 0) / widths.length
}

function promisedWidth(
  chip: Chip,
  table: readonly (readonly number[])[],
  powerW: number,
  meanScatter: number,
): number {
  const [logs] = logRates(chip, [powerW]) as [number[]]
  const stride = Math.max(1, Math.floor(chip.draws.length / TRUTHS))
  let sum = 0
  let total = 0
  for (let truth = 0; truth < chip.draws.length; truth += stride) {
    const weights = chip.draws.map(
      ({ weight }, k) => weight * Math.exp(-0.5 * ((logs[k]! - logs[truth]!) / meanScatter) ** 2),
    )
    const { weight } = chip.draws[truth]!
    sum += weight * meanWidth(table, weights)
    total += weight
  }
  return sum / total
}
