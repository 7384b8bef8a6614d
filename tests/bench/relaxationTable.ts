import { levenbergMarquardt } from 'ml-levenberg-marquardt'
import { fitLeastSquares } from '../../src/numeric/leastSquares/fitLeastSquares.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { benchTable } from './benchTable.js'
import { type Contender, measure } from './measure.js'
import { outsidePeer, type PeerAnswer } from './outsidePeer.js'

const START = [30, 10, 10] as const

/** Time per fit of a + b exp(-t / tau) on 1,000 points, beside compiled and JavaScript peers, and whether all found the same minimum. */
export async function relaxationTable(): Promise<readonly string[]> {
  const random = seededRandom(1)
  const t = Array.from({ length: 1000 }, (_, i) => 0.1 * i)
  const y = t.map((time) => 40 + 25 * Math.exp(-time / 18) + 0.5 * random.normal())
  const own = ownWays(t, y)
  const outside = new Map([
    ...outsidePeer('relaxation.py', [t, y, START]),
    ...outsidePeer('relaxation.R', [t, y, START]),
  ])
  const best = own['fitLeastSquares, Jacobian']!()
  const measured = await measure([
    ...Object.entries(own).map(here),
    ...OUTSIDE.map((name) => there(name, outside)),
  ])
  const found = new Map<string, readonly number[] | undefined>([
    ...Object.entries(own).map(([name, solve]) => [name, solve()] as const),
    ...OUTSIDE.map((name) => [name, outside.get(name)?.found] as const),
  ])
  return [
    ...benchTable(measured, {
      title: 'A relaxation of three parameters, 1,000 points',
      against: 'fitLeastSquares',
    }),
    '',
    ...agreement(found, best),
  ]
}

const OUTSIDE = [
  'scipy curve_fit (MINPACK lmdif)',
  'scipy curve_fit (MINPACK lmder), Jacobian',
  'scipy least_squares (trf)',
  'scipy least_squares (trf), Jacobian',
  'minpack.lm nls.lm (lmdif)',
  'minpack.lm nls.lm (lmder), Jacobian',
  'minpack.lm nlsLM',
]

type Solve = () => readonly number[]

function ownWays(t: readonly number[], y: readonly number[]): Readonly<Record<string, Solve>> {
  // Results are copied: the arrays may be filled again at the next call.
  const out = new Float64Array(t.length)
  const columns = [new Float64Array(t.length).fill(1), new Float64Array(t.length), new Float64Array(t.length)]
  const residuals = ([a, b, tau]: readonly number[]): Float64Array => {
    for (let i = 0; i < out.length; i++) out[i] = a! + b! * Math.exp(-t[i]! / tau!) - y[i]!
    return out
  }
  const jacobianColumns = ([, b, tau]: readonly number[]): Float64Array[] => {
    const [, decay, slope] = columns as [Float64Array, Float64Array, Float64Array]
    for (let i = 0; i < decay.length; i++) {
      decay[i] = Math.exp(-t[i]! / tau!)
      slope[i] = (b! * decay[i]! * t[i]!) / tau! ** 2
    }
    return columns
  }
  return {
    fitLeastSquares: () => fitLeastSquares({ residuals, start: START }).parameters,
    'fitLeastSquares, Jacobian': () =>
      fitLeastSquares({ residuals, jacobianColumns, start: START }).parameters,
    'ml-levenberg-marquardt': () =>
      levenbergMarquardt(
        { x: [...t], y: [...y] },
        ([a, b, tau]) =>
          (time) =>
            a! + b! * Math.exp(-time / tau!),
        { initialValues: START, centralDifference: true, errorTolerance: 1e-30 },
      ).parameterValues,
  }
}

function here([name, run]: [string, Solve]): Contender {
  return { name, run }
}

function there(name: string, answers: ReadonlyMap<string, PeerAnswer>): Contender {
  return { name, samplesMs: () => answers.get(name)?.samplesMs }
}

/** Digits of the parameters that agree with ours. */
function agreement(
  found: ReadonlyMap<string, readonly number[] | undefined>,
  best: readonly number[],
): readonly string[] {
  return [...found].flatMap(([name, values]) => {
    if (!values) return []
    const gap = Math.max(...values.map((value, j) => Math.abs(value / best[j]! - 1)))
    return [`- ${name}: parameters agree to ${gap === 0 ? 'all' : (-Math.log10(gap)).toFixed(1)} digits`]
  })
}
