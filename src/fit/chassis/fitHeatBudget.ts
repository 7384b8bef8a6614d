import { nonNegativeLeastSquares } from '../../numeric/leastSquares/nonNegativeLeastSquares.js'
import { runningAverage } from '../../physics/chassis/powerBudget.js'
import { type LoadRecord, sampleSteps } from './loadRecord.js'

/** A weighted sum of running averages that may not exceed `limitW`: what heat does, told in watts. Shares add up to 1. */
export interface HeatBudgetFit {
  readonly limitW: number
  readonly terms: readonly { readonly share: number; readonly tauS: number }[]
}

/**
 * What heat does to the power of a load without its temperature: the weights with which running averages of the power stay
 * at one value wherever power gives way.
 *
 *   sum c_i a_i(t) = 1 while heat holds the power,  c_i >= 0;  limit = 1 / sum c_i,  share_i = c_i limit
 *
 * A thermal network pinned at its ceiling says the same, with c_i = R_i / (T_ceiling - T_0); so it is found by the same
 * non-negative least squares on a grid of time constants.
 *
 * @param yields - for each sample, whether heat held its power
 * @returns null when too few samples are held
 * @source superposition of first-order thermal stages; C. L. Lawson, R. J. Hanson (1974), chapter 23
 */
export function fitHeatBudget(record: LoadRecord, yields: (index: number) => boolean): HeatBudgetFit | null {
  const held = Array.from(record.pass.keys()).filter((i) => record.pass[i]! >= 0 && yields(i))
  if (held.length < 10) return null
  const lastS = record.toS.at(-1)!
  const shortestS = Math.max(0.5, record.intervalS)
  const count = Math.max(3, Math.ceil(2.5 * Math.log(lastS / shortestS)))
  const taus = Array.from({ length: count }, (_, j) => shortestS * (lastS / shortestS) ** (j / (count - 1)))
  const powers = { lengthsS: sampleSteps(record), powersW: record.powerW, startW: record.idleW }
  const columns = taus.map((tauS) => runningAverage(powers, tauS))
  const fit = nonNegativeLeastSquares({
    design: held.map((i) => columns.map((column) => column[i]!)),
    values: held.map(() => 1),
  })
  const sum = fit.parameters.reduce((a, b) => a + b, 0)
  if (!(sum > 0)) return null
  return {
    limitW: 1 / sum,
    terms: taus.flatMap((tauS, j) => {
      const share = fit.parameters[j]! / sum
      return share > 0 ? [{ share, tauS }] : []
    }),
  }
}
