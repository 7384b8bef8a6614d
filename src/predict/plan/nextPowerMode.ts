import { argsort } from '../../numeric/argsort.js'
import { ESTIMATE_LEVEL } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import { valueAtWeight } from '../../numeric/statistics/quantile.js'
import type { Chip } from '../../physics/chip/chip.js'
import { rateAt } from '../../physics/chip/scoreCurve.js'

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
 * @param mostW - power that the machine was never seen to exceed; no mode above it is proposed
 * @returns null when no mode would narrow the intervals by a tenth
 * @source preposterior analysis: H. Raiffa, R. Schlaifer (1961), Applied Statistical Decision Theory, chapter 5
 */
export function nextPowerMode(
  chip: Chip,
  scatter: number,
  mostW = Number.POSITIVE_INFINITY,
): NextMode | null {
  const [low, high] = chip.measuredRangeW
  const rangeW = [PROJECTED[0] * low, PROJECTED[1] * high] as const
  const aims = spread(rangeW, AIMS)
  const table = logRates(chip, aims).map((values) => ({ values, order: argsort(values) }))
  const before = meanWidth(
    table,
    chip.draws.map((draw) => draw.weight),
  )
  const candidates = spread([CANDIDATES[0] * low, CANDIDATES[1] * high], MODES)
    .filter((powerW) => powerW <= Math.min(mostW, chip.demandW ?? mostW))
    .map((powerW) => ({ powerW, after: promisedWidth(chip, table, powerW, scatter / Math.sqrt(RUNS)) }))
  if (candidates.length === 0 || !(before > 0)) return null
  const least = Math.min(...candidates.map((candidate) => candidate.after))
  // Of modes that promise nearly the same, the one nearest to what the machine was seen to do.
  const outside = (powerW: number) => Math.max(low / powerW, powerW / high)
  const best = candidates
    .filter((candidate) => candidate.after <= NEARLY_BEST * least)
    .reduce((a, b) => (outside(b.powerW) < outside(a.powerW) ? b : a))
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
const TRUTHS = 40
const NEARLY_BEST = 1.15

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

/** One figure of every draw, and their places in rising order. */
interface Ordered {
  readonly values: readonly number[]
  readonly order: Uint32Array
}

function meanWidth(table: readonly Ordered[], weights: readonly number[]): number {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const tail = ((1 - ESTIMATE_LEVEL) / 2) * total
  const upTo = (weight: number, { values, order }: Ordered) => valueAtWeight(values, weights, order, weight)
  const widths = table.map((row) => Math.expm1(upTo(total - tail, row) - upTo(tail, row)))
  return mean(widths)!
}

function promisedWidth(chip: Chip, table: readonly Ordered[], powerW: number, meanScatter: number): number {
  // New runs tell the slope from what was measured; a level that all runs share, such as that of an unlogged temperature, they
  // have in common with the old ones and can't tell.
  const measuredW = Math.sqrt(chip.measuredRangeW[0] * chip.measuredRangeW[1])
  const [there, here] = logRates(chip, [powerW, measuredW]) as [number[], number[]]
  const logs = there.map((log, k) => log - here[k]!)
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
