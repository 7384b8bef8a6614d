import { levenbergMarquardt } from 'ml-levenberg-marquardt'
import { fitLeastSquares } from '../../src/numeric/leastSquares/fitLeastSquares.js'
import { digits } from '../certified/nist/digits.js'
import { models } from '../certified/nist/models.js'
import nonlinear from '../certified/nist/nonlinear.json' with { type: 'json' }

type Dataset = (typeof nonlinear.datasets)[number]
type Solver = (set: Dataset, start: readonly number[]) => readonly number[]

/** Correct digits on the 54 NIST nonlinear problems, and time, beside the Levenberg-Marquardt package of the npm registry. */
export function leastSquaresTable(): readonly string[] {
  const solvers: Readonly<Record<string, Solver>> = {
    fitLeastSquares: ours,
    'ml-levenberg-marquardt, defaults': (set, start) => peer(set, start, {}),
    'ml-levenberg-marquardt, tuned': (set, start) =>
      peer(set, start, {
        centralDifference: true,
        gradientDifference: start.map((value) => 1e-5 * Math.abs(value)),
        maxIterations: 2000,
        errorTolerance: 1e-30,
      }),
  }
  const runs = Object.entries(solvers).map(([name, solver]) => ({ name, cells: runAll(solver) }))
  return [
    '## Nonlinear least squares: 27 NIST sets from two starts each, residual function only',
    '',
    '| solver | ≥ 4 digits | ≥ 6 | ≥ 8 | processor time, all 54, once |',
    '| --- | --- | --- | --- | --- |',
    ...runs.map(({ name, cells }) => summary(name, cells)),
    '',
    `| set | ${runs.map(({ name }) => name).join(' | ')} |`,
    `| --- |${' --- |'.repeat(runs.length)}`,
    ...nonlinear.datasets.map(
      (set, i) =>
        `| ${set.name} | ${runs.map(({ cells }) => cells[i]!.digits.map((count) => count.toFixed(1)).join(' / ')).join(' | ')} |`,
    ),
  ]
}

interface Cell {
  readonly digits: readonly number[]
  readonly ms: number
}

function runAll(solver: Solver): readonly Cell[] {
  return nonlinear.datasets.map((set) => {
    const runs = [set.start1, set.start2].map((start) => timed(() => solver(set, start)))
    return {
      digits: runs.map(({ result }) => digits(result, set.certified, 11)),
      ms: runs.reduce((sum, { ms }) => sum + ms, 0),
    }
  })
}

function summary(name: string, cells: readonly Cell[]): string {
  const all = cells.flatMap((cell) => cell.digits)
  const counts = [4, 6, 8].map((bar) => all.filter((count) => count >= bar).length)
  return `| ${name} | ${counts.join(' | ')} | ${cells.reduce((sum, { ms }) => sum + ms, 0).toFixed(0)} ms |`
}

function observed(set: Dataset): readonly number[] {
  return set.data.map(([y]) => (set.name === 'Nelson' ? Math.log(y!) : y!))
}

function ours(set: Dataset, start: readonly number[]): readonly number[] {
  const y = observed(set)
  const rows = set.data.map(([, ...x]) => x)
  const model = models[set.name]!
  return fitLeastSquares({ residuals: (b) => rows.map((x, i) => y[i]! - model(b, x)), start }).parameters
}

function peer(
  set: Dataset,
  start: readonly number[],
  options: Omit<Parameters<typeof levenbergMarquardt>[2], 'initialValues'>,
): readonly number[] {
  const y = observed(set)
  const rows = set.data.map(([, ...x]) => x)
  const model = models[set.name]!
  try {
    // The rows' indices stand for x, so that sets with two predictors fit its interface.
    const data = { x: rows.map((_, i) => i), y }
    return levenbergMarquardt(data, (b) => (i) => model(b, rows[i]!), { initialValues: start, ...options })
      .parameterValues
  } catch {
    return []
  }
}

/** Once is enough where what counts is the digits. */
function timed<T>(run: () => T): { readonly result: T; readonly ms: number } {
  const before = process.cpuUsage()
  const result = run()
  const { user, system } = process.cpuUsage(before)
  return { result, ms: (user + system) / 1000 }
}
