import { REVIEW_CAUSES, type ReviewedPair, type ReviewPart } from '../../predict/review/comparePair.js'
import type { PairMean } from '../../predict/review/pairMeans.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import type { ReviewResult } from '../../predict/review/reviewResults.js'
import { modePrefix, percentOf } from '../text/sayReviewText.js'
import { nameAlone, signedPercent, type WordedTable } from './wordedTable.js'

/** Two machines in one power mode. */
export interface PairOfMode {
  readonly a: string
  readonly b: string
  readonly mode: string | null
}

/** A result that two machines have both. */
export interface PairedResult {
  readonly result: ReviewResult
  readonly pair: ReviewedPair
}

/** Every result that two machines have both in a power mode. */
export function pairedResults({ results }: Review, of: PairOfMode): readonly PairedResult[] {
  return results.flatMap((result) => {
    const pair = result.pairs.find(({ a, b }) => a === of.a && b === of.b)
    return pair === undefined || result.mode !== of.mode ? [] : [{ result, pair }]
  })
}

/** Every pair of machines that have a workload in common, in every power mode. */
export function pairsOf({ results }: Review): readonly PairOfMode[] {
  const modes = [...new Set(results.map(({ mode }) => mode))]
  const all = results.flatMap(({ pairs }) => pairs.map(({ a, b }) => JSON.stringify([a, b])))
  return modes.flatMap((mode) =>
    [...new Set(all)].flatMap((key): PairOfMode[] => {
      const [a, b] = JSON.parse(key) as [string, string]
      const isIn = results.some(
        (of) => of.mode === mode && of.pairs.some((pair) => pair.a === a && pair.b === b),
      )
      return isIn ? [{ a, b, mode }] : []
    }),
  )
}

/** How much faster one machine is than another in every workload, as tested and at equal power. */
export function wordedPair(of: PairOfMode, found: readonly PairedResult[]): WordedTable {
  return {
    title: `${modePrefix(of.mode)}how much faster ${of.a} is than ${of.b}, %`,
    columns: [
      { heading: 'workload' },
      { heading: 'as tested', align: 'right' },
      { heading: 'at equal power', align: 'right' },
      { heading: 'power explains' },
    ],
    rows: found.map(({ result, pair }) => [
      nameAlone(result),
      signedPercent(percentOf(pair.asTested)),
      pair.atEqualPower === null ? '–' : signedPercent(percentOf(pair.atEqualPower)),
      sayExplained(pair),
    ]),
  }
}

/** How much of each difference is the chip, the power that each held, temperature, and none of them; with the mean over workloads. */
export function wordedCauses(
  of: PairOfMode,
  found: readonly PairedResult[],
  mean: PairMean | undefined,
): WordedTable | null {
  const known = found.filter(({ pair }) => pair.parts !== null)
  if (known.length === 0) return null
  const right = (heading: string) => ({ heading, align: 'right' }) as const
  return {
    title: `${modePrefix(of.mode)}what makes ${of.a} faster or slower than ${of.b}, %`,
    columns: [
      { heading: 'workload' },
      right('as tested'),
      ...REVIEW_CAUSES.map((name) => right(CAUSES[name])),
      { heading: 'power explains' },
    ],
    rows: [
      ...known.map(({ result, pair }) => [
        nameAlone(result),
        signedPercent(percentOf(pair.asTested)),
        ...partCells(pair.parts!),
        sayExplained(pair),
      ]),
      ...(mean?.parts == null || mean.asTestedThere === null
        ? []
        : [
            [
              sayMean(mean.atEqualPower!.workloads.length),
              signedPercent(percentOf(mean.asTestedThere)),
              ...partCells(mean.parts),
              '',
            ],
          ]),
    ],
  }
}

/** How much faster one machine is than another over workloads, in every power mode. */
export function wordedMeans({ means }: Review): WordedTable {
  return {
    title: 'How much faster the first machine is than the second, %',
    columns: [
      { heading: 'machines' },
      { heading: 'as tested', align: 'right' },
      { heading: 'workloads', align: 'right' },
      { heading: 'at equal power', align: 'right' },
      { heading: 'workloads', align: 'right' },
    ],
    rows: means.map(({ a, b, mode, asTested, atEqualPower }) => [
      `${modePrefix(mode)}${a} over ${b}`,
      signedPercent(percentOf(asTested.ratio)),
      String(asTested.workloads.length),
      atEqualPower === null ? '–' : signedPercent(percentOf(atEqualPower.ratio)),
      String(atEqualPower?.workloads.length ?? 0),
    ]),
  }
}

/** The geometric mean over workloads, as the first cell of a row. */
export function sayMean(workloads: number): string {
  return workloads === 1 ? 'One workload' : `Geometric mean of ${workloads}`
}

const CAUSES = {
  chip: 'chip',
  power: 'power held',
  temperature: 'temperature',
  rest: 'not explained',
} as const
const EXPLAINS = { nothing: 'none of it', something: 'some of it', unclear: 'unclear' } as const

function sayExplained({ powerExplains }: ReviewedPair): string {
  return powerExplains === null ? 'not known' : EXPLAINS[powerExplains]
}

function partCells(parts: readonly ReviewPart[]): readonly string[] {
  return REVIEW_CAUSES.map((name) => signedPercent(parts.find((part) => part.name === name)!.percent))
}
