import { fitLeastSquares } from '../../numeric/leastSquares/fitLeastSquares.js'
import { nonNegativeLeastSquares } from '../../numeric/leastSquares/nonNegativeLeastSquares.js'
import { type Estimate, estimateFromLogError } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import { correlationFactor, lagOneCorrelation } from '../../numeric/statistics/noise.js'
import type { ThermalStage } from '../../physics/chassis/thermalNetwork.js'
import { filterPower, type ThermalRecord } from './filterPower.js'
import { type LoadRecord, sampleSteps } from './loadRecord.js'
import { networkResiduals } from './networkResiduals.js'

/** A thermal network from power to temperature. */
export interface ThermalFit {
  /** Foster terms, fastest first. */
  readonly stages: readonly ThermalStage[]
  /** Temperature without power, degC: the ambient as the sensor would show it. */
  readonly zeroPowerC: number
  /** Sum of the terms, K/W. */
  readonly resistanceKPerW: Estimate
  /** Root mean square of what the network doesn't explain, K. */
  readonly residualK: number
}

/**
 * Foster network that explains a temperature by the power before it, with as few terms as the record supports.
 *
 *   T(t) = T_0 + sum R_i y_i(t),  tau_i y_i' = P - y_i
 *
 * Given the time constants this is linear with R_i >= 0: non-negative least squares on a logarithmic grid of tau names the
 * time constants that matter; neighbours are merged into one term each, the terms refined by nonlinear least squares, and the
 * number of terms (up to `MOST_TERMS`) chosen by the Bayes information criterion with the residuals' effective number.
 *
 * @returns null when temperature doesn't rise with power or too few samples have one
 * @source Foster form of a thermal impedance (JESD51 family); C. L. Lawson, R. J. Hanson (1974), chapter 23; G. Schwarz (1978),
 * Annals of Statistics 6, 461-464
 */
export function fitThermalNetwork(record: ThermalRecord): ThermalFit | null {
  const seen = indicesWithTemperature(record)
  if (seen.length < LEAST_SAMPLES) return null
  const grid = fitOnGrid(record, seen)
  if (grid.length === 0) return null
  const most = Math.min(MOST_TERMS, countApart(grid))
  const candidates = growing(most, seen.length, (terms) => refine(record, seen, mergeTo(grid, terms)))
  // The closest fit says what the residuals' noise is; a misfit's own correlation would excuse it.
  const closest = candidates.reduce((a, b) => (b.residualK < a.residualK ? b : a))
  const effective = seen.length / closest.widening ** 2
  const criterion = ({ residualK, terms }: NetworkCandidate) =>
    effective * Math.log(residualK ** 2) + 2 * terms.length * Math.log(effective)
  return describe(candidates.reduce((a, b) => (criterion(b) < criterion(a) ? b : a)))
}

/** The network of a load's own record; null without a temperature column. */
export function fitRecordNetwork(record: LoadRecord): ThermalFit | null {
  if (!record.temperatureC) return null
  return fitThermalNetwork({
    lengthsS: sampleSteps(record),
    powerW: record.powerW,
    temperatureC: record.temperatureC,
    restedW: record.idleW,
  })
}

/**
 * Networks of one term, of two and so on, as long as another term can be worth its two parameters: if every residual told as much as an
 * independent one, which is when least has to be gained.
 */
function growing(
  most: number,
  samples: number,
  refined: (terms: number) => NetworkCandidate,
): readonly NetworkCandidate[] {
  const networks = [refined(1)]
  for (let terms = 2; terms <= most; terms++) {
    const [before, network] = [networks.at(-1)!, refined(terms)]
    networks.push(network)
    const gain = samples * Math.log((before.residualK / network.residualK) ** 2)
    if (!(gain > 2 * Math.log(samples))) break
  }
  return networks
}

const LEAST_SAMPLES = 20
const MOST_SAMPLES = 400
/** A die, a heat spreader or pipe, a heat sink, a case: more terms than places can't be told apart in one log. */
const MOST_TERMS = 4
/** Time constants per factor of e: finer ones are too alike for NNLS to choose between. */
const GRID_PER_E = 4
/** Twice what a fit takes whose terms the record tells apart; a term too many would go on for ever. */
const EVALUATIONS = 60
/** Steps below a hundredth of a standard error change no printed digit. */
const TOLERANCE = 1e-2

interface Term {
  readonly rKPerW: number
  readonly tauS: number
}

interface NetworkCandidate {
  readonly terms: readonly Term[]
  readonly zeroPowerC: number
  readonly covariance: readonly (readonly number[])[] | undefined
  readonly widening: number
  readonly residualK: number
}

/** Evenly spread samples that have a temperature: neighbours tell nearly the same, and time grows with their number. */
function indicesWithTemperature(record: ThermalRecord): number[] {
  const seen = Array.from({ length: record.powerW.length }, (_, i) => i).filter((i) =>
    Number.isFinite(record.temperatureC[i]!),
  )
  const stride = Math.max(1, seen.length / MOST_SAMPLES)
  return Array.from({ length: Math.floor(seen.length / stride) }, (_, k) => seen[Math.floor(k * stride)]!)
}

function fitOnGrid(record: ThermalRecord, seen: readonly number[]): Term[] {
  const lengths = Array.from(record.lengthsS)
  const totalS = lengths.reduce((a, b) => a + b, 0)
  const shortestS = Math.max(0.3, (0.5 * totalS) / lengths.length)
  const count = Math.max(2, Math.ceil(GRID_PER_E * Math.log(totalS / shortestS)))
  const taus = Array.from({ length: count }, (_, j) => shortestS * (totalS / shortestS) ** (j / (count - 1)))
  const columns = taus.map((tauS) => filterPower(record, tauS, seen).valuesW)
  const design = seen.map((_, k) => [1, ...columns.map((column) => column[k]!)])
  const fit = nonNegativeLeastSquares({ design, values: seen.map((i) => record.temperatureC[i]!) })
  return taus.flatMap((tauS, j) => {
    const rKPerW = fit.parameters[j + 1]!
    return rKPerW > 0 ? [{ rKPerW, tauS }] : []
  })
}

/** How many terms are more than a step of the grid apart: one time constant between two steps shows as both. */
function countApart(grid: readonly Term[]): number {
  const isApart = ({ tauS }: Term, j: number) =>
    j === 0 || GRID_PER_E * Math.log(tauS / grid[j - 1]!.tauS) > 1.5
  return grid.filter(isApart).length
}

/** Joins the terms that are nearest in time constant until so many are left: resistances add, times average in the logarithm. */
function mergeTo(grid: readonly Term[], terms: number): Term[] {
  const merged = [...grid]
  while (merged.length > terms) {
    let nearest = 1
    for (let i = 2; i < merged.length; i++) {
      if (spread(merged, i) < spread(merged, nearest)) nearest = i
    }
    const a = merged[nearest - 1]!
    const b = merged[nearest]!
    const rKPerW = a.rKPerW + b.rKPerW
    const logTau = (a.rKPerW * Math.log(a.tauS) + b.rKPerW * Math.log(b.tauS)) / rKPerW
    merged.splice(nearest - 1, 2, { rKPerW, tauS: Math.exp(logTau) })
  }
  return merged
}

/** What joining a term to the one before it would lose: their distance in ln tau, weighted by the smaller of the two. */
function spread(terms: readonly Term[], i: number): number {
  const a = terms[i - 1]!
  const b = terms[i]!
  return Math.log(b.tauS / a.tauS) * Math.min(a.rKPerW, b.rKPerW)
}

function refine(record: ThermalRecord, seen: readonly number[], start: readonly Term[]): NetworkCandidate {
  // A time constant longer than the record shows as a slope: it could be anything, and so could its resistance.
  const slowestS = Array.from(record.lengthsS).reduce((a, b) => a + b, 0)
  const zeroPowerC = Math.max(-20, startingZeroPower(record, seen, start))
  const fit = fitLeastSquares({
    ...networkResiduals(record, seen),
    start: [
      zeroPowerC,
      ...start.flatMap(({ rKPerW, tauS }) => [Math.log(rKPerW), Math.log(Math.min(tauS, slowestS))]),
    ],
    lower: [-50, ...start.flatMap(() => [-12, Math.log(0.05)])],
    upper: [150, ...start.flatMap(() => [6, Math.log(slowestS)])],
    maxEvaluations: EVALUATIONS,
    tolerance: TOLERANCE,
  })
  const residualK = Math.sqrt(fit.residualSumOfSquares / seen.length)
  const factor = correlationFactor(lagOneCorrelation(fit.residuals, residualK))
  const terms = start.map((_, j) => ({
    rKPerW: Math.exp(fit.parameters[1 + 2 * j]!),
    tauS: Math.exp(fit.parameters[2 + 2 * j]!),
  }))
  return {
    terms,
    zeroPowerC: fit.parameters[0]!,
    covariance: fit.covariance,
    widening: Math.sqrt(factor),
    residualK,
  }
}

function startingZeroPower(record: ThermalRecord, seen: readonly number[], start: readonly Term[]): number {
  const columns = start.map(({ tauS }) => filterPower(record, tauS, seen).valuesW)
  const rises = seen.map(
    (i, k) =>
      record.temperatureC[i]! - start.reduce((sum, { rKPerW }, j) => sum + rKPerW * columns[j]![k]!, 0),
  )
  return mean(rises)!
}

function describe(best: NetworkCandidate): ThermalFit {
  const total = best.terms.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
  return {
    stages: [...best.terms].sort((a, b) => a.tauS - b.tauS),
    zeroPowerC: best.zeroPowerC,
    resistanceKPerW: estimateFromLogError(total, totalError(best) / total),
    residualK: best.residualK,
  }
}

/**
 * What a few terms leave out of a real chassis (places slower than the log is long, a sensor's own lag), as a share of the sum. On
 * generated worlds of two to four places the sum misses by 1 to 2 %, whatever the residuals say.
 */
const LEFT_OUT_SHARE = 0.012

/** Standard error of the sum of resistances, K/W; a tenth of it where the terms aren't determined. */
function totalError({ terms, covariance, widening }: NetworkCandidate): number {
  const total = terms.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
  if (!covariance) return total / 10
  let variance = 0
  terms.forEach((a, i) => {
    terms.forEach((b, j) => {
      variance += a.rKPerW * b.rKPerW * covariance[1 + 2 * i]![1 + 2 * j]!
    })
  })
  return Math.hypot(Math.sqrt(Math.max(0, variance)) * widening, LEFT_OUT_SHARE * total)
}
