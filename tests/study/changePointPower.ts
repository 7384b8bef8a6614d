import { writeFileSync } from 'node:fs'
import { findChangePoints } from '../../src/numeric/changePoints/findChangePoints.js'
import { quantile } from '../../src/numeric/statistics/quantile.js'
import { type Random, seededRandom } from '../../src/numeric/statistics/random.js'

/**
 * How small a change `findChangePoints` finds with its own penalty, and how often it sees one in pure noise; written as
 * tables to the file named on the command line. Seeded: the same figures every time.
 */
function main(path: string): void {
  const text = [
    '# What change points can be found',
    '',
    'Written by `npm run study:changes` (seeded; about a minute). Noise has standard deviation 1; `p` is its lag-1 correlation.',
    '',
    ...falseChanges(),
    '',
    ...steps(),
    '',
    ...bumps(),
    '',
  ].join('\n')
  writeFileSync(path, text)
  console.log(text)
}

const CORRELATIONS = [0, 0.3, 0.6] as const

/**
 * Shift in standard errors at which a test with 1 % false alarms, told where to look and how large the noise is, finds
 * 95 %: 2.576 + 1.645. No method that has to find the place as well can do better.
 */
const LIMIT = 2.5758293 + 1.6448536

function falseChanges(): readonly string[] {
  const trials = 1000
  const lengths = [20, 50, 100, 200, 500, 1000]
  const rows = (['squared', 'biweight'] as const).flatMap((loss) =>
    CORRELATIONS.map((correlation) => {
      const cells = lengths.map((length) => {
        let shown = 0
        for (let trial = 0; trial < trials; trial++) {
          const values = noise(seededRandom(trial + 5000 * length), length, correlation)
          if (findChangePoints(values, { loss }).edges.length > 0) shown++
        }
        return `${((100 * shown) / trials).toFixed(1)} %`
      })
      return `| ${loss}, p ${correlation} | ${cells.join(' | ')} |`
    }),
  )
  return [
    `## Pure noise in which a change is seen (${trials} series each)`,
    '',
    `| loss, noise | ${lengths.map((length) => `n ${length}`).join(' | ')} |`,
    `| --- |${' --- |'.repeat(lengths.length)}`,
    ...rows,
  ]
}

function steps(): readonly string[] {
  const lengths = [10, 20, 50, 100, 200, 500]
  const rows = CORRELATIONS.map((correlation) => {
    const cells = lengths.map((length) => {
      const shape = Float64Array.from({ length: 2 * length }, (_, i) => (i < length ? 0 : 1))
      // The difference of two means of `length` values each.
      const limit = LIMIT * Math.sqrt((2 * longRun(correlation)) / length)
      return cell(smallest(shape, [length], correlation), limit)
    })
    return `| p ${correlation} | ${cells.join(' | ')} |`
  })
  return [
    '## Smallest step found in 95 % of series: one step in the middle of 2 L values',
    '',
    'In standard deviations of the noise; in brackets the limit for a test at 1 % that knows the place and the noise.',
    'Found: an edge within max(3, L / 5) values of the step.',
    '',
    `| noise | ${lengths.map((length) => `L ${length}`).join(' | ')} |`,
    `| --- |${' --- |'.repeat(lengths.length)}`,
    ...rows,
  ]
}

function bumps(): readonly string[] {
  const lengths = [1, 3, 10, 30, 100]
  const total = 600
  const rows = CORRELATIONS.map((correlation) => {
    const cells = lengths.map((length) => {
      const start = 250
      const shape = Float64Array.from({ length: total }, (_, i) => (i >= start && i < start + length ? 1 : 0))
      const limit = LIMIT * Math.sqrt(bumpVariance(length, correlation))
      return cell(smallest(shape, [start, start + length], correlation), limit)
    })
    return `| p ${correlation} | ${cells.join(' | ')} |`
  })
  return [
    `## Smallest excursion found in 95 % of series: L values off the level of ${total}`,
    '',
    'As above; both edges must be found. A single value off the level is an outlier rather than a change: see the biweight loss.',
    '',
    `| noise | ${lengths.map((length) => `L ${length}`).join(' | ')} |`,
    `| --- |${' --- |'.repeat(lengths.length)}`,
    ...rows,
  ]
}

function cell(size: number, limit: number): string {
  return `${size.toFixed(2)} (${limit.toFixed(2)})`
}

/** 95 % quantile, over series, of the smallest multiple of the shape at which all its edges are found. */
function smallest(shape: Float64Array, edges: readonly number[], correlation: number): number {
  const trials = 100
  const length = edges.length === 1 ? edges[0]! : edges[1]! - edges[0]!
  const tolerance = Math.max(3, length / 5)
  const sizes = Array.from({ length: trials }, (_, trial) => {
    const base = noise(seededRandom(7 * trial + shape.length), shape.length, correlation)
    const found = (size: number): boolean => {
      const { edges: seen } = findChangePoints(base.map((value, i) => value + size * shape[i]!))
      return edges.every((edge) => seen.some((other) => Math.abs(other - edge) <= tolerance))
    }
    let low = 0
    let high = 25
    for (let pass = 0; pass < 9; pass++) {
      const middle = 0.5 * (low + high)
      if (found(middle)) high = middle
      else low = middle
    }
    return high
  })
  return quantile(sizes, 0.95)
}

function longRun(correlation: number): number {
  return (1 + correlation) / (1 - correlation)
}

/** Variance of the mean of `length` autoregressive values; the rest of the series is long enough to count as known. */
function bumpVariance(length: number, correlation: number): number {
  let sum = 1
  for (let lag = 1; lag < length; lag++) sum += 2 * (1 - lag / length) * correlation ** lag
  return sum / length
}

function noise(random: Random, length: number, correlation: number): Float64Array {
  let value = random.normal()
  return Float64Array.from({ length }, () => {
    value = correlation * value + Math.sqrt(1 - correlation ** 2) * random.normal()
    return value
  })
}

main(process.argv[2] ?? 'tests/study/change-point-power.md')
