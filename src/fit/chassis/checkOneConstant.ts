import { normalQuantile } from '../../numeric/statistics/normalQuantile.js'
import type { Warning } from '../../warnings.js'
import type { BudgetFit } from './fitBudgets.js'
import type { LoadRecord } from './loadRecord.js'
import { predictPower } from './predictPower.js'

/**
 * Tests whether the same time constants explain the bursts of all runs.
 *
 * Each run's energy above the sustained power is an equation for them: the sum of its squared deviations from the fitted
 * machine's, over what noise leaves uncertain, is chi-square with as many degrees of freedom as runs less budgets. A warning
 * names the run that deviates most, if the chance of so much by noise is below one in a thousand and the deviation is a tenth
 * of a burst or more.
 *
 * @source chi-square test; normal approximation of E. B. Wilson, M. M. Hilferty (1931), PNAS 17, 684-688
 */
export function checkOneConstant(record: LoadRecord, fit: BudgetFit): Warning[] {
  const runs = burstEnergies(record, fit)
  const degrees = runs.length - fit.machine.budgets.length
  if (degrees < 1) return []
  const chiSquare = runs.reduce((sum, run) => sum + (run.measuredJ - run.predictedJ) ** 2 / run.varianceJ2, 0)
  const score = ((chiSquare / degrees) ** (1 / 3) - (1 - 2 / (9 * degrees))) / Math.sqrt(2 / (9 * degrees))
  const off = (run: BurstEnergy) => Math.abs(run.measuredJ - run.predictedJ) / Math.max(run.predictedJ, 1e-9)
  const worst = runs.reduce((a, b) => (off(b) > off(a) ? b : a))
  if (score < normalQuantile(1 - 0.001) || off(worst) < LEAST_DEVIATION) return []
  return [
    { code: 'budget-varies', runs: runs.length, worstRun: worst.run, burstDeviationPct: 100 * off(worst) },
  ]
}

/** A tenth of a burst's energy: smaller deviations don't change what is projected. */
const LEAST_DEVIATION = 0.1

interface BurstEnergy {
  readonly run: number
  readonly measuredJ: number
  readonly predictedJ: number
  readonly varianceJ2: number
}

/** Energy above the lowest limit, per run that has any to speak of. */
function burstEnergies(record: LoadRecord, { machine }: BudgetFit): BurstEnergy[] {
  const predicted = predictPower(machine, record)
  const baseW = Math.min(...machine.budgets.map((budget) => budget.limitW))
  const sums = record.passes.map((_, k) => ({ run: k + 1, measuredJ: 0, predictedJ: 0, varianceJ2: 0 }))
  record.pass.forEach((pass, i) => {
    if (pass < 0) return
    const lengthS = record.toS[i]! - record.fromS[i]!
    const sum = sums[pass]!
    sum.measuredJ += (record.powerW[i]! - baseW) * lengthS
    sum.predictedJ += (predicted[i]! - baseW) * lengthS
    // Noise, and an edge that is known to a tenth of an interval at burst power.
    sum.varianceJ2 += (record.noiseW * lengthS) ** 2
  })
  const edgeJ = (machine.peakW - baseW) * 0.1 * record.intervalS
  return sums
    .map((sum) => ({ ...sum, varianceJ2: sum.varianceJ2 + edgeJ ** 2 }))
    .filter((sum) => sum.predictedJ > 3 * Math.sqrt(sum.varianceJ2))
}
