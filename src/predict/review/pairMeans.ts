import type { Estimate } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import {
  type Drawn,
  intervalOf,
  type PairDraws,
  percentOf,
  REVIEW_CAUSES,
  type ReviewPart,
  ratioOf,
} from './comparePair.js'
import type { DrawnResult } from './reviewResults.js'

/** Two machines in one power mode over workloads: geometric means of how much faster A is. */
export interface PairMean {
  readonly a: string
  readonly b: string
  readonly mode: string | null
  readonly asTested: MeanRatio
  /** Null where no workload has the power of both. */
  readonly atEqualPower: MeanRatio | null
  /** Over the workloads of `atEqualPower`: parts multiply to `asTestedThere`. */
  readonly parts: readonly ReviewPart[] | null
  /** As tested, over those same workloads. */
  readonly asTestedThere: Estimate | null
  readonly leftOut: readonly LeftOut[]
}

export interface MeanRatio {
  readonly ratio: Estimate
  readonly workloads: readonly string[]
}

/** A result that a mean leaves out. `from`: which of the means. */
export interface LeftOut {
  readonly workload: string
  readonly metric: string
  readonly from: 'both' | 'at equal power'
  readonly reason: 'another-metric' | 'one-machine' | 'no-power'
}

/** The mean of every pair of machines in every power mode in which both were tested. */
export function pairMeans(results: readonly DrawnResult[]): readonly PairMean[] {
  const modes = [...new Set(results.map(({ result }) => result.mode))]
  return modes.flatMap((mode) => {
    const own = results.filter(({ result }) => result.mode === mode)
    const pairs = new Map(
      own.flatMap(({ pairs }) => pairs.map((pair) => [JSON.stringify([pair.a, pair.b]), pair])),
    )
    return [...pairs.values()].flatMap(({ a, b }) => meanOfPair(own, { a, b, mode }) ?? [])
  })
}

function meanOfPair(
  results: readonly DrawnResult[],
  of: { readonly a: string; readonly b: string; readonly mode: string | null },
): PairMean | null {
  const leftOut: LeftOut[] = []
  const counted: { readonly workload: string; readonly pair: PairDraws }[] = []
  for (const { result, pairs } of results) {
    const { workload, metric, inMeans, machines } = result
    const pair = pairs.find(({ a, b }) => a === of.a && b === of.b)
    if (!machines.some(({ machine }) => machine === of.a || machine === of.b)) continue
    if (!inMeans) leftOut.push({ workload, metric, from: 'both', reason: 'another-metric' })
    else if (pair === undefined) leftOut.push({ workload, metric, from: 'both', reason: 'one-machine' })
    else {
      counted.push({ workload, pair })
      if (!isPowered(pair)) leftOut.push({ workload, metric, from: 'at equal power', reason: 'no-power' })
    }
  }
  if (counted.length === 0) return null
  const powered = counted.filter(({ pair }) => isPowered(pair))
  const over = (pick: (pair: PairDraws) => Drawn) => averaged(powered.map(({ pair }) => pick(pair)))
  const isKnown = powered.length > 0
  return {
    ...of,
    asTested: {
      ratio: ratioOf(averaged(counted.map(({ pair }) => pair.asTested))),
      workloads: counted.map(({ workload }) => workload),
    },
    atEqualPower: isKnown
      ? {
          ratio: ratioOf(over((pair) => pair.atEqualPower!)),
          workloads: powered.map(({ workload }) => workload),
        }
      : null,
    parts: isKnown
      ? REVIEW_CAUSES.map((name) =>
          partOf(
            name,
            over((pair) => pair.parts![name]),
          ),
        )
      : null,
    asTestedThere: isKnown ? ratioOf(over((pair) => pair.asTested)) : null,
    leftOut,
  }
}

function isPowered({ atEqualPower, parts }: PairDraws): boolean {
  return atEqualPower !== null && parts !== null
}

function partOf(name: ReviewPart['name'], drawn: Drawn): ReviewPart {
  return { name, logRatio: intervalOf(drawn, (log) => log), percent: percentOf(drawn) }
}

/** Mean of logarithms, draw by draw: what workloads have in common stays in it. */
export function averaged(parts: readonly Drawn[]): Drawn {
  return {
    value: mean(parts.map(({ value }) => value))!,
    draws: parts[0]!.draws.map((_, k) => mean(parts.map(({ draws }) => draws[k]!))!),
  }
}
