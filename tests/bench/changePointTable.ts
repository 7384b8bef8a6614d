import { findChangePoints } from '../../src/numeric/findChangePoints.js'
import { seededRandom } from '../../src/numeric/random.js'
import { processorTime } from './processorTime.js'

/** Time of exact change points beside textbook ways to the same optimum, on series with 20 changes. */
export function changePointTable(): readonly string[] {
  const rows = [1_000, 5_000, 20_000, 100_000, 1_000_000].map((count) => {
    const values = staircase(count)
    const penalty = 3 * Math.log(count)
    const own = processorTime(() => findChangePoints(values, { penalty }).edges)
    const robust = processorTime(() => findChangePoints(values, { penalty, loss: 'biweight' }).edges)
    const unaided = processorTime(() => findChangePoints(values).edges)
    // Both grow with the square of the length when changes are few.
    const pelt = count <= 100_000 ? processorTime(() => pruned(values, penalty)) : undefined
    const plain = count <= 20_000 ? processorTime(() => unpruned(values, penalty)) : undefined
    const same = [pelt, plain].every((other) => !other || other.result.join() === own.result.join())
    const times = [own, unaided, robust, pelt, plain].map((run) =>
      run ? `${run.ms.toFixed(0)} ms` : 'left out',
    )
    return `| ${count} | ${own.result.length} | ${times.join(' | ')} | ${same ? 'yes' : 'NO'} |`
  })
  return [
    '## Change points: 20 steps of two standard deviations',
    '',
    '| values | edges found | findChangePoints | with its own penalty | biweight | PELT | no pruning | same edges |',
    '| --- | --- | --- | --- | --- | --- | --- | --- |',
    ...rows,
  ]
}

function staircase(count: number): Float64Array {
  const random = seededRandom(count)
  return Float64Array.from(
    { length: count },
    (_, i) => 2 * (Math.floor((21 * i) / count) % 2) + random.normal(),
  )
}

/** Optimal partitioning (Jackson et al. 2005) with the pruning of Killick, Fearnhead and Eckley (2012). */
function pruned(values: Float64Array, penalty: number): readonly number[] {
  return optimalPartition(values, penalty, true)
}

function unpruned(values: Float64Array, penalty: number): readonly number[] {
  return optimalPartition(values, penalty, false)
}

function optimalPartition(values: Float64Array, penalty: number, prune: boolean): readonly number[] {
  const n = values.length
  const sums = new Float64Array(n + 1)
  const squares = new Float64Array(n + 1)
  for (let i = 0; i < n; i++) {
    sums[i + 1] = sums[i]! + values[i]!
    squares[i + 1] = squares[i]! + values[i]! ** 2
  }
  const cost = new Float64Array(n + 1)
  const last = new Int32Array(n + 1)
  cost[0] = -penalty
  let candidates = [0]
  for (let t = 1; t <= n; t++) {
    let best = Number.POSITIVE_INFINITY
    const values = candidates.map((s) => {
      const sum = sums[t]! - sums[s]!
      const value = cost[s]! + squares[t]! - squares[s]! - (sum * sum) / (t - s)
      if (value + penalty < best) {
        best = value + penalty
        last[t] = s
      }
      return value
    })
    cost[t] = best
    if (prune) candidates = candidates.filter((_, k) => values[k]! <= best)
    candidates.push(t)
  }
  const edges: number[] = []
  for (let t = last[n]!; t > 0; t = last[t]!) edges.unshift(t)
  return edges
}
