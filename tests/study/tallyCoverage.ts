import type { CoverageSample, StudyFact } from './coverageSample.js'

export interface CoverageRow {
  readonly figure: string
  readonly count: number
  /** Part of the intervals that hold the truth. */
  readonly coverage: number
  /** Median error and median full width: parts of the truth, or seconds. */
  readonly bias: number
  readonly width: number
  readonly scale: CoverageSample['scale']
}

/** Coverage, bias and width of each figure, in order of first appearance. */
export function tallyCoverage(samples: readonly CoverageSample[]): readonly CoverageRow[] {
  return [...groupBy(samples, (sample) => sample.figure)].map(([figure, of]) => {
    const unit = (sample: CoverageSample) => (sample.scale === 'seconds' ? 1 : Math.abs(sample.truth))
    return {
      figure,
      count: of.length,
      coverage: of.filter(({ low, high, truth }) => low <= truth && truth <= high).length / of.length,
      bias: median(of.map((sample) => (sample.value - sample.truth) / unit(sample))),
      width: median(of.map((sample) => (sample.high - sample.low) / unit(sample))),
      scale: of[0]!.scale,
    }
  })
}

/** Mean of each fact (a part that was right), or quantiles for errors. */
export function tallyFacts(facts: readonly StudyFact[]) {
  return [...groupBy(facts, ({ fact }) => fact)].map(([fact, of]) => {
    const values = of.map(({ value }) => value).sort((a, b) => a - b)
    return {
      fact,
      count: of.length,
      mean: values.reduce((a, b) => a + b, 0) / values.length,
      median: median(values),
      p90: values[Math.min(values.length - 1, Math.floor(0.9 * values.length))]!,
    }
  })
}

export function groupBy<T>(items: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const item of items) groups.set(key(item), [...(groups.get(key(item)) ?? []), item])
  return groups
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = (sorted.length - 1) / 2
  return (sorted[Math.floor(middle)]! + sorted[Math.ceil(middle)]!) / 2
}
