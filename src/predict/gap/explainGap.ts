import { InputError } from '../../errors.js'
import { ESTIMATE_LEVEL, type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import { logarithmicMean } from '../../numeric/statistics/logarithmicMean.js'
import { mean } from '../../numeric/statistics/moments.js'
import { quantiles } from '../../numeric/statistics/quantile.js'
import { shapleyValues } from '../../numeric/statistics/shapleyValues.js'
import type { Chip } from '../../physics/chip/chip.js'
import { isSameWorkload } from '../../physics/chip/sameWorkload.js'
import type { HoldLabel } from '../../segment/load.js'
import { type Caution, cautionsFor } from '../projection/caution.js'
import { drawGapSides, type GapDraw } from './drawGapSides.js'
import type { GapMachine, GapMeasured } from './gapMachine.js'
import { type GapPartName, type GapRun, gapRun, warmScore } from './gapRun.js'
import { type MatchingPower, matchingPower } from './matchingPower.js'

/** One reason for the gap; `points` is the part in the score's own unit, and all points add up to the difference. */
export interface GapPart {
  readonly name: GapPartName
  readonly logRatio: Estimate
  readonly percent: Estimate
  readonly points: number
}

/** Why one machine scores less, or more, than another (section 3 of cli/README.md, `explain`). */
export interface Gap {
  readonly a: string
  readonly b: string
  readonly better: 'higher' | 'lower'
  readonly unit: string
  /** Steady score of A over B; for a time, A's time over B's. */
  readonly ratio: Estimate
  /** Steady scores of the fitted models, whose ratio the parts share out. */
  readonly steady: { readonly a: Estimate; readonly b: Estimate }
  /** What the tests themselves measured, where they did. */
  readonly measured: { readonly a: GapMeasured | null; readonly b: GapMeasured | null }
  readonly sustainedW: { readonly a: Estimate; readonly b: Estimate }
  readonly parts: readonly GapPart[]
  readonly heldBy: { readonly a: HoldLabel; readonly b: HoldLabel }
  /** What the slower machine would have to hold to match the other; null when they are level. */
  readonly match: MatchingPower | null
  readonly cautions: readonly Caution[]
}

/**
 * Splits the gap between two machines' steady scores into its causes.
 *
 * The steady score is computed with the chip, the sustained power, burst and recovery (and pauses and temperature, where they
 * differ and are known) of either machine, in all combinations. Each cause's part of ln(A/B) is its Shapley value: its mean
 * effect over all orders of swapping, so that no order is preferred, parts add up to ln(ratio) exactly, and swapping A and B
 * changes every sign. All of it for each of many draws of both chips and both chassis, which gives the intervals.
 *
 * @throws InputError `workloads-differ`
 * @source L. S. Shapley (1953), Annals of Mathematics Studies 28, 307-317; points: B. W. Ang (2005), Energy Policy 33, 867-871
 * @example explainGap({ a: heron, b: plover }).parts.map((part) => part.name)
 */
export function explainGap(machines: { readonly a: GapMachine; readonly b: GapMachine }): Gap {
  const { a, b } = machines
  requireSameWorkload(a.chip, b.chip)
  // The draws must not depend on who is named first, or swapping would change more than signs.
  const swapped = identityOf(a) > identityOf(b)
  const [one, two] = swapped ? [b, a] : [a, b]
  const names = causesOf(one, two)
  const { draws, splits } = workingDraws(drawGapSides(one, two), names)
  const sign = swapped ? -1 : 1
  // Adding 0 turns a negative zero into a plain one.
  const logParts = names.map((_, j) => splits.map((split) => sign * split.shares[j]! + 0))
  const logTotals = splits.map((split) => sign * (Math.log(split.one) - Math.log(split.two)))
  const means = logParts.map((values) => mean(values)!)
  const scoresOf = (isOne: boolean) => splits.map((split) => (isOne ? split.one : split.two))
  const steady = {
    a: estimateFromDraws({ values: scoresOf(!swapped) }),
    b: estimateFromDraws({ values: scoresOf(swapped) }),
  }
  const total = means.reduce((sum, mean) => sum + mean, 0)
  const pointsPerLog = logarithmicMean(steady.b.value * Math.exp(total), steady.b.value)
  return {
    a: a.name,
    b: b.name,
    better: a.chip.workload.better,
    unit: a.chip.workload.score,
    ratio: around(Math.exp(total), logTotals.map(Math.exp)),
    steady,
    measured: { a: a.measured ?? null, b: b.measured ?? null },
    sustainedW: { a: a.chassis.sustainedW, b: b.chassis.sustainedW },
    parts: names.map((name, j) => ({
      name,
      logRatio: around(means[j]!, logParts[j]!),
      percent: around(
        100 * Math.expm1(means[j]!),
        logParts[j]!.map((value) => 100 * Math.expm1(value)),
      ),
      points: means[j]! * pointsPerLog,
    })),
    heldBy: { a: a.heldBy, b: b.heldBy },
    ...matchOf(machines, total, draws, logTotals, swapped),
  }
}

/** As in `chipAt`: figures are of the draws in which a chip does work at the other machine's power. */
function workingDraws(
  all: readonly GapDraw[],
  names: GapPartName[],
): { readonly draws: readonly GapDraw[]; readonly splits: readonly GapSplit[] } {
  const split = all.map((draw) => ({ draw, split: splitOf(draw, names) }))
  const working = split.filter(({ split: { shares } }) => shares.every(Number.isFinite))
  if (working.length < 0.25 * all.length) {
    throw new InputError(
      'gap-beyond-measured',
      'The machines were measured at powers too far apart to say what one chip does at the power of the other.',
      { remedy: 'Test one of them in a second power mode, nearer to the other.' },
    )
  }
  return { draws: working.map(({ draw }) => draw), splits: working.map(({ split: found }) => found) }
}

function requireSameWorkload(a: Chip, b: Chip): void {
  const say = ({ workload }: Chip) => `${workload.name}, ${workload.score}, ${workload.better} is better`
  if (isSameWorkload(a.workload, b.workload)) return
  const message = `expected two machines that ran the same workload, got "${say(a)}" and "${say(b)}"`
  throw new InputError('workloads-differ', message, {
    remedy: 'test both with the same task, and give it the same name and score in both sheets',
  })
}

function identityOf({ name, chip, chassis, loop }: GapMachine): string {
  return JSON.stringify([name, chip.name, chip.measuredRangeW, chassis, loop])
}

/** Pauses count as a cause when they differ by more than a log can tell; temperature when both networks are known. */
function causesOf(one: GapMachine, two: GapMachine): GapPartName[] {
  const names: GapPartName[] = ['chip at equal power', 'sustained power', 'burst and recovery']
  if (Math.abs(one.loop.gapS - two.loop.gapS) > 0.5 || one.loop.runs !== two.loop.runs) {
    names.push('pauses between runs')
  }
  const warmthKnown = [one, two].every(
    ({ chassis, chip }) =>
      chassis.thermal && chip.referenceC !== undefined && chip.draws.some((d) => d.heatPerK),
  )
  if (warmthKnown) names.push('temperature')
  return names
}

interface GapSplit {
  /** Steady scores of the two machines, and each cause's share of ln(one/two). */
  readonly one: number
  readonly two: number
  readonly shares: readonly number[]
}

function splitOf(draw: GapDraw, names: readonly GapPartName[]): GapSplit {
  const scores = new Map<number, number>()
  const runs = new Map<number, GapRun>()
  const warm = names.indexOf('temperature')
  const scoreOf = (set: number) => {
    const fromOne = (name: GapPartName) => {
      const j = names.indexOf(name)
      // What is no cause of its own comes with the machine that the chip comes from.
      return ((set >> Math.max(0, j)) & 1) === 1
    }
    // Temperature doesn't move the loop: runs that differ in nothing else are one.
    const key = warm < 0 ? set : set & ~(1 << warm)
    const run = runs.get(key) ?? gapRun(draw, fromOne)
    runs.set(key, run)
    const score = warm < 0 ? run.score : warmScore(draw, fromOne, run)
    scores.set(set, score)
    return score
  }
  const shares = shapleyValues(names.length, (set) => Math.log(scoreOf(set)))
  return { one: scores.get(2 ** names.length - 1)!, two: scores.get(0)!, shares }
}

function around(value: number, draws: readonly number[]): Estimate {
  const [low, high] = quantiles(draws, [(1 - ESTIMATE_LEVEL) / 2, (1 + ESTIMATE_LEVEL) / 2])
  return { value, low: Math.min(value, low!), high: Math.max(value, high!), level: ESTIMATE_LEVEL }
}

/** Scores nearer than this are level: no figure of a test is better than that. */
const LEVEL_LOG_RATIO = 0.003

function matchOf(
  { a, b }: { readonly a: GapMachine; readonly b: GapMachine },
  logRatio: number,
  draws: readonly GapDraw[],
  logTotals: readonly number[],
  swapped: boolean,
): Pick<Gap, 'match' | 'cautions'> {
  if (Math.abs(logRatio) < LEVEL_LOG_RATIO) return { match: null, cautions: [] }
  const aIsBehind = a.chip.workload.better === 'higher' ? logRatio < 0 : logRatio > 0
  const behind = aIsBehind ? a : b
  const match = matchingPower(draws, {
    isOne: aIsBehind !== swapped,
    machine: behind.name,
    heldW: behind.chassis.sustainedW.value,
    factors: logTotals.map((total) => Math.exp(aIsBehind ? -total : total)),
  })
  if (!match.sustainedW) return { match, cautions: [] }
  const cautions = cautionsFor({
    supposedW: match.sustainedW.value,
    testedW: behind.chassis.sustainedW.value,
    heldByHeat: behind.heldBy === 'heat',
  })
  return { match, cautions }
}
