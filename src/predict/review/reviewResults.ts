import { InputError } from '../../errors.js'
import { meanScore, runsOf } from '../../machine/review/countedScores.js'
import type { ReviewedMachine, ReviewedTest } from '../../machine/review/fitReview.js'
import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import { chipAtTemperature } from '../../physics/chip/chipAtTemperature.js'
import { USUAL_LOAD_C } from '../../physics/chip/leakageHeat.js'
import type { HoldLabel } from '../../segment/load.js'
import {
  comparePair,
  type EqualPoint,
  type PairDraws,
  type ReviewedPair,
  type TestedSide,
} from './comparePair.js'
import { dependsOnPower, type PowerVerdict } from './dependsOnPower.js'
import type { ReviewDraws } from './reviewDraws.js'

/** One workload in one power mode, by one metric, on every machine that was tested with it. */
export interface ReviewResult {
  readonly workload: string
  readonly metric: string
  readonly unit: string
  readonly better: 'higher' | 'lower'
  /** Null where none was noted. */
  readonly mode: string | null
  /** Whether the metric stands for its workload in means: the first that the sheet lists. */
  readonly inMeans: boolean
  /** Which runs count: those of the settled end of a loop where every machine shows one, else all. */
  readonly basis: 'steady' | 'all'
  /** Power of the comparison at equal power, W; null where no power is known. */
  readonly atW: number | null
  /** Temperature of that comparison, degrees C: halfway between the machines' own. */
  readonly atC: number | null
  readonly machines: readonly ReviewedResult[]
  readonly pairs: readonly ReviewedPair[]
}

/** What one machine scored, and what power had to do with it. */
export interface ReviewedResult {
  readonly machine: string
  readonly chip: string
  readonly runs: number
  readonly score: Estimate
  /** Mean power of those runs, W; null where it is not known. */
  readonly powerW: number | null
  readonly heldBy: HoldLabel | null
  /** Per cent of score for one per cent of power, at that power; above 0 where more power is faster. */
  readonly elasticity: Estimate | null
  readonly dependsOnPower: PowerVerdict | null
  /** The chip at the power of the comparison; `perWatt` of a time is runs per watt-hour. */
  readonly atEqualPower: {
    readonly score: Estimate
    readonly perWatt: Estimate
    readonly extrapolated: boolean
  } | null
}

/** A result with the draws that means are made from. */
export interface DrawnResult {
  readonly result: ReviewResult
  readonly pairs: readonly PairDraws[]
}

/** Every workload, power mode and metric, in the order in which sheets name them. */
export function reviewResults(
  machines: readonly ReviewedMachine[],
  draws: ReviewDraws,
  atW: number | undefined,
): readonly DrawnResult[] {
  const rows = new Map<string, { machine: ReviewedMachine; test: ReviewedTest }[]>()
  for (const machine of machines) {
    for (const test of machine.tests) {
      const key = JSON.stringify([test.task, test.mode ?? '', test.metric].map((word) => word.toLowerCase()))
      const row = rows.get(key) ?? []
      if (row[0] !== undefined) requireSameMetric(row[0], { machine, test })
      rows.set(key, [...row, { machine, test }])
    }
  }
  return inOrder([...rows.values()]).map(({ row, mode }) => drawResult(row, mode, draws, atW))
}

type Row = readonly { readonly machine: ReviewedMachine; readonly test: ReviewedTest }[]

function requireSameMetric(first: Row[number], other: Row[number]): void {
  const [mine, theirs] = [first.test.workload, other.test.workload]
  if (mine.score === theirs.score && mine.better === theirs.better) return
  throw new InputError(
    'metrics-differ',
    `expected ${other.test.task} in ${mine.score} (${mine.better} is better) on every machine, got ${theirs.score} (${theirs.better} is better)`,
    {
      where: { file: other.machine.file },
      remedy: 'write the unit of the same score the same way in all sheets',
    },
  )
}

/** Modes together, in the order in which they first come, and spelled as there; within a mode as the sheets have it. */
function inOrder(rows: readonly Row[]): readonly { readonly row: Row; readonly mode: string | null }[] {
  const keyOf = (row: Row) => (row[0]!.test.mode ?? '').toLowerCase()
  return [...new Set(rows.map(keyOf))].flatMap((key) => {
    const own = rows.filter((row) => keyOf(row) === key)
    const { mode } = own[0]![0]!.test
    return own.map((row) => ({ row, mode }))
  })
}

function drawResult(
  row: Row,
  mode: string | null,
  draws: ReviewDraws,
  wishedW: number | undefined,
): DrawnResult {
  const isSteady = row.every(({ test }) => test.steady !== null)
  const sides = row.map((of): TestedSide => ({ ...of, part: isSteady ? of.test.steady! : of.test.all }))
  const at = equalPoint(sides, wishedW)
  const pairs = sides.flatMap((a, i) => sides.slice(i + 1).map((b) => comparePair(a, b, { draws, at })))
  const { task, metric, workload, isFirst } = row[0]!.test
  return {
    result: {
      workload: task,
      metric,
      unit: workload.score,
      better: workload.better,
      mode,
      inMeans: isFirst,
      basis: isSteady ? 'steady' : 'all',
      atW: at?.powerW ?? null,
      atC: at?.temperatureC ?? null,
      machines: sides.map((side) => resultOf(side, draws, at)),
      pairs: pairs.map(({ pair }) => pair),
    },
    pairs: pairs.map((pair) => pair.draws),
  }
}

/** Where the chips are compared; null where no power is known. A machine whose temperature is not known counts with its curve's. */
function equalPoint(sides: readonly TestedSide[], wishedW: number | undefined): EqualPoint | null {
  const powerW = wishedW ?? equalPower(sides)
  const temperatures = sides.flatMap(({ part, test }) =>
    part.power === null ? [] : (part.power.meanC ?? test.chip?.referenceC ?? []),
  )
  return powerW === null ? null : { powerW, temperatureC: Math.round(mean(temperatures) ?? USUAL_LOAD_C) }
}

/** Halfway between what the machines held: the geometric mean, to a whole watt from 10 W up. */
function equalPower(sides: readonly TestedSide[]): number | null {
  const powers = sides.flatMap(({ part }) => part.power?.profile.meanW ?? [])
  if (powers.length === 0) return null
  const middleW = Math.exp(mean(powers.map(Math.log))!)
  return middleW >= 10 ? Math.round(middleW) : Number(middleW.toPrecision(2))
}

function resultOf(
  { machine, test, part }: TestedSide,
  draws: ReviewDraws,
  at: EqualPoint | null,
): ReviewedResult {
  const logs = draws.logSpeeds(test, part)
  const sign = test.workload.better === 'lower' ? -1 : 1
  const spread = estimateFromDraws({ values: logs.map((log) => Math.exp(sign * log)) })
  const powerW = part.power?.profile.meanW ?? null
  const elasticity =
    test.chip === null || powerW === null ? null : (chipAt(test.chip, powerW)?.elasticity ?? null)
  return {
    machine: machine.machine,
    chip: machine.chip,
    runs: runsOf(part),
    score: { ...spread, value: meanScore(part) },
    powerW,
    heldBy: test.heldBy,
    elasticity,
    dependsOnPower: elasticity === null ? null : dependsOnPower(elasticity, test.heldBy),
    atEqualPower: atEqualPower(test, at),
  }
}

function atEqualPower({ chip }: ReviewedTest, at: EqualPoint | null): ReviewedResult['atEqualPower'] {
  if (chip === null || at === null) return null
  const { powerW, temperatureC } = at
  const point = chipAt(chipAtTemperature(chip, temperatureC), powerW)
  if (point === undefined) return null
  const [lowW, highW] = chip.measuredRangeW
  // A measured level is only known to a per cent or so.
  return {
    score: point.score,
    perWatt: point.perWatt,
    extrapolated: powerW < lowW * 0.99 || powerW > highW * 1.01,
  }
}
