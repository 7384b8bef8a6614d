import { findChangePoints } from '../../src/numeric/changePoints/findChangePoints.js'
import { segmentByCount } from '../../src/numeric/changePoints/segmentByCount.js'
import { seededRandom } from '../../src/numeric/statistics/random.js'
import { benchTable, sayNumber } from './benchTable.js'
import { growthExponent } from './growthExponent.js'
import { type Measured, measure } from './measure.js'
import { outsidePeer } from './outsidePeer.js'

/** Exact change points beside one pass of sums, at growing lengths and with few and many changes. */
export async function changePointTable(): Promise<readonly string[]> {
  const few = [1e4, 1e5, 1e6, 1e7].map((count) => ({ count, changes: 20 }))
  const many = [1e4, 1e5, 1e6, 1e7].map((count) => ({ count, changes: count / 200 }))
  const lines: string[] = []
  for (const series of [few, many]) {
    const points: { readonly count: number; readonly ms: number }[] = []
    for (const { count, changes } of series) {
      const measured = await sideBySide(count, changes)
      const ms = measured.find(({ name }) => name === OWN)!.times!.medianMs
      points.push({ count, ms })
      const title = `Change points: ${count.toExponential(0)} values, ${changes} changes of two standard deviations`
      lines.push(...benchTable(measured, { title, against: FLOOR }), '')
      lines.push(`${sayNumber((1000 * ms) / count)} µs a value with the penalty given.`, '')
    }
    const growth = growthExponent(points)!
    lines.push(`Growth from 1e4 to 1e7 values: time ~ count^${growth.toFixed(3)}.`, '')
  }
  return [...lines, ...(await besideDynamicProgramming())]
}

const FLOOR = 'one pass of sums'
const OWN = 'findChangePoints, penalty given'

async function sideBySide(count: number, changes: number): Promise<readonly Measured[]> {
  const values = staircase(count, changes)
  const penalty = 2 * Math.log(count)
  return measure(
    [
      { name: FLOOR, run: () => sums(values) },
      { name: OWN, run: () => findChangePoints(values, { penalty }) },
      { name: 'findChangePoints, own penalty', run: () => findChangePoints(values) },
      ...(count <= 1e5
        ? [
            {
              name: 'findChangePoints, biweight',
              run: () => findChangePoints(values, { penalty, loss: 'biweight' }),
            },
          ]
        : []),
    ],
    count > 1e6 ? { rounds: 3, roundMs: 0 } : {},
  )
}

/** The floor: what any method must do at least, sums of the values and of their squares. */
function sums(values: Float64Array): Float64Array {
  const out = new Float64Array(2 * values.length)
  let sum = 0
  let squares = 0
  for (let i = 0; i < values.length; i++) {
    sum += values[i]!
    squares += values[i]! * values[i]!
    out[2 * i] = sum
    out[2 * i + 1] = squares
  }
  return out
}

/** Exact methods whose time grows with the square of the length, at a length that they manage. */
async function besideDynamicProgramming(): Promise<readonly string[]> {
  const changes = 5
  const values = staircase(200, changes)
  const peer = outsidePeer('changePoints.R', [values, [changes]]).get('strucchange breakpoints')
  const measured = await measure([
    { name: OWN, run: () => findChangePoints(values, { penalty: 15 }) },
    { name: 'segmentByCount', run: () => segmentByCount(values, { maxEdges: changes }) },
    { name: 'PELT', run: () => pruned(values, 15) },
    { name: 'R strucchange breakpoints', samplesMs: () => peer?.samplesMs },
  ])
  const edges = findChangePoints(values, { penalty: 15 }).edges
  const same = [
    pruned(values, 15),
    segmentByCount(values, { maxEdges: changes })[changes]!.edges,
    peer?.found,
  ]
    .filter((other) => other !== undefined)
    .every((other) => other.join() === edges.join())
  return [
    ...benchTable(measured, {
      title: 'Change points beside dynamic programming: 200 values, 5 changes',
      against: OWN,
    }),
    '',
    `Same edges in all: ${same ? 'yes' : 'NO'}.`,
  ]
}

function staircase(count: number, changes: number): Float64Array {
  const random = seededRandom(count)
  const values = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    values[i] = 2 * (Math.floor(((changes + 1) * i) / count) % 2) + random.normal()
  }
  return values
}

/** Optimal partitioning (Jackson et al. 2005) with the pruning of Killick, Fearnhead and Eckley (2012). */
function pruned(values: Float64Array, penalty: number): readonly number[] {
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
    candidates = candidates.filter((_, k) => values[k]! <= best)
    candidates.push(t)
  }
  const edges: number[] = []
  for (let t = last[n]!; t > 0; t = last[t]!) edges.unshift(t)
  return edges
}
