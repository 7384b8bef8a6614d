import { fitLeastSquares } from '../../src/numeric/leastSquares/fitLeastSquares.js'
import { linearLeastSquares } from '../../src/numeric/leastSquares/linearLeastSquares.js'
import { autocorrelation, mean, standardDeviation } from '../../src/numeric/statistics/moments.js'
import { digits } from '../certified/nist/digits.js'
import linear from '../certified/nist/linear.json' with { type: 'json' }
import { models } from '../certified/nist/models.js'
import nonlinear from '../certified/nist/nonlinear.json' with { type: 'json' }
import univariate from '../certified/nist/univariate.json' with { type: 'json' }

/** Digits beyond which certified values say no more: NIST prints 11 for nonlinear sets, 15 for the others. */
const MOST_DIGITS = { nonlinear: 11, others: 15 } as const

/** Correct digits on every NIST set of `tests/certified/nist`. */
export function certifiedTable(): readonly string[] {
  return [
    '## Correct digits on NIST sets',
    '',
    'Nonlinear sets, residual function only, start 1 / start 2.',
    '',
    '| set | parameters | standard errors | evaluations |',
    '| --- | --- | --- | --- |',
    ...nonlinear.datasets.map(nonlinearRow),
    '',
    '| linear set | parameters | standard errors | residual sum |',
    '| --- | --: | --: | --: |',
    ...linear.datasets.map(linearRow),
    '',
    '| univariate set | mean | standard deviation | lag-1 autocorrelation |',
    '| --- | --: | --: | --: |',
    ...univariate.datasets.map(univariateRow),
  ]
}

function nonlinearRow(set: (typeof nonlinear.datasets)[number]): string {
  const model = models[set.name]!
  const observed = set.data.map(([y]) => (set.name === 'Nelson' ? Math.log(y!) : y!))
  const residuals = (b: readonly number[]) => set.data.map(([, ...x], i) => observed[i]! - model(b, x))
  const fits = [set.start1, set.start2].map((start) => fitLeastSquares({ residuals, start }))
  const most = MOST_DIGITS.nonlinear
  const cells = [
    fits.map((fit) => digits(fit.parameters, set.certified, most).toFixed(1)),
    fits.map((fit) => digits(fit.standardErrors ?? [], set.standardDeviations, most).toFixed(1)),
    fits.map((fit) => String(fit.evaluations)),
  ]
  return `| ${set.name} | ${cells.map((pair) => pair.join(' / ')).join(' | ')} |`
}

function linearRow(set: (typeof linear.datasets)[number]): string {
  const hasConstant = set.model.includes('B0')
  const degree = set.certified.length - (hasConstant ? 1 : 0)
  const design = set.data.map(([, ...x]) => {
    const powers = x.length > 1 ? x : Array.from({ length: degree }, (_, k) => x[0]! ** (k + 1))
    return hasConstant ? [1, ...powers] : powers
  })
  const fit = linearLeastSquares({ design, values: set.data.map((row) => row[0]!) })
  return row(set.name, [
    [fit.parameters, set.certified],
    [fit.standardErrors ?? [], set.standardDeviations],
    [[fit.residualSumOfSquares], [set.residualSumOfSquares]],
  ])
}

function univariateRow({ name, data, ...certified }: (typeof univariate.datasets)[number]): string {
  return row(name, [
    [[mean(data) ?? Number.NaN], [certified.mean]],
    [[standardDeviation(data) ?? Number.NaN], [certified.standardDeviation]],
    [[autocorrelation(data, 1) ?? Number.NaN], [certified.lag1Autocorrelation]],
  ])
}

function row(name: string, pairs: readonly (readonly [readonly number[], readonly number[]])[]): string {
  const cells = pairs.map(([found, certified]) => digits(found, certified, MOST_DIGITS.others).toFixed(1))
  return `| ${name} | ${cells.join(' | ')} |`
}
