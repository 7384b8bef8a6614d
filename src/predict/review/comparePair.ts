import type { ReviewedMachine } from '../../machine/review/fitReview.js'
import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { mean } from '../../numeric/statistics/moments.js'
import { quantiles } from '../../numeric/statistics/quantile.js'
import { chipAtTemperature } from '../../physics/chip/chipAtTemperature.js'
import { rateAt } from '../../physics/chip/scoreCurve.js'
import { logSpeed, type ReviewDraws } from './reviewDraws.js'
import { differences, type ReviewCause, type SplitParts, type SplitSide, splitTested } from './splitTested.js'

/** Two machines in one result. Ratios are A over B, above 1 where A is faster. */
export interface ReviewedPair {
  readonly a: string
  readonly b: string
  readonly asTested: Estimate
  /** Of the chips at the same power; null where the power of one is not known. The ratio of their scores per watt is the same. */
  readonly atEqualPower: Estimate | null
  /** Probability that A is the faster one at equal power. */
  readonly probabilityFirstAhead: number | null
  /** Why A is ahead or behind as tested; the parts multiply to `asTested`. Null where the power of one is not known. */
  readonly parts: readonly ReviewPart[] | null
  /** Whether power explains any of how far they are apart: `unclear` where its part may be nothing; null where the power of one is not known. */
  readonly powerExplains: 'nothing' | 'something' | 'unclear' | null
}

export interface ReviewPart {
  readonly name: ReviewCause
  readonly logRatio: Estimate
  /** How far A would be ahead for this cause alone. */
  readonly percent: Estimate
}

/** Draws of ln(A / B) that means are made from. */
export interface PairDraws {
  readonly a: string
  readonly b: string
  readonly asTested: Drawn
  readonly atEqualPower: Drawn | null
  readonly parts: SplitParts | null
}

export interface Drawn {
  readonly value: number
  readonly draws: readonly number[]
}

/** One machine's side: its test, and the runs of it that count. */
export interface TestedSide extends SplitSide {
  readonly machine: ReviewedMachine
}

/** Where chips are compared: what both are given. */
export interface EqualPoint {
  readonly powerW: number
  readonly temperatureC: number
}

/** Compares two machines in one result: as tested, at equal power, and by cause. */
export function comparePair(
  a: TestedSide,
  b: TestedSide,
  { draws, at }: { readonly draws: ReviewDraws; readonly at: EqualPoint | null },
): { readonly pair: ReviewedPair; readonly draws: PairDraws } {
  const asTested = {
    value: logSpeed(a.test, a.part) - logSpeed(b.test, b.part),
    draws: differences(draws.logSpeeds(a.test, a.part), draws.logSpeeds(b.test, b.part)),
  }
  const equal = at === null ? null : chipRatio(a, b, draws, at)
  const parts = splitTested(a, b, draws)
  const names = { a: a.machine.machine, b: b.machine.machine }
  return {
    pair: {
      ...names,
      asTested: ratioOf(asTested),
      atEqualPower: equal && ratioOf(equal),
      probabilityFirstAhead: equal && shareAhead(equal.draws),
      parts: parts && partsOf(parts),
      powerExplains: parts && explains(percentOf(parts.power)),
    },
    draws: { ...names, asTested, atEqualPower: equal, parts },
  }
}

function chipRatio(a: TestedSide, b: TestedSide, draws: ReviewDraws, at: EqualPoint): Drawn | null {
  const [chipA, chipB] = [a.test.chip, b.test.chip]
  if (chipA === null || chipB === null) return null
  const [ofA, ofB] = [draws.curves(chipA), draws.curves(chipB)]
  const [ratesA, ratesB] = [chipA, chipB].map((chip) =>
    chipAtTemperature(chip, at.temperatureC).draws.map(({ curve }) => rateAt(curve, at.powerW)),
  )
  const values = ofA.map((i, k) => Math.log(ratesA![i]! / ratesB![ofB[k]!]!))
  const working = values.filter(Number.isFinite)
  if (working.length < LEAST_WORKING * values.length) return null
  const value = mean(working)!
  return { value, draws: values.map((log) => (Number.isFinite(log) ? log : value)) }
}

/** With fewer draws in which both chips work at the power, nothing is said. */
const LEAST_WORKING = 0.9

/** Ties count half, so that a chip against itself is ahead with probability one half. */
function shareAhead(draws: readonly number[]): number {
  return mean(draws.map((log) => (log > 0 ? 1 : log === 0 ? 0.5 : 0)))!
}

/** Power moves a result by less than this, per cent: no figure of a test is better; common practice, no source. */
const NOTHING_PCT = 1

function explains(percent: Estimate): ReviewedPair['powerExplains'] {
  if (percent.low > -NOTHING_PCT && percent.high < NOTHING_PCT) return 'nothing'
  return percent.low < 0 && percent.high > 0 ? 'unclear' : 'something'
}

function partsOf(parts: SplitParts): readonly ReviewPart[] {
  return REVIEW_CAUSES.map((name) => ({
    name,
    logRatio: intervalOf(parts[name], (log) => log),
    percent: percentOf(parts[name]),
  }))
}

export const REVIEW_CAUSES = ['chip', 'power', 'temperature', 'rest'] as const

/** A ratio from draws of its logarithm: the middle as computed, the interval's ends by the draws. */
export function ratioOf(drawn: Drawn): Estimate {
  return intervalOf(drawn, Math.exp)
}

export function percentOf(drawn: Drawn): Estimate {
  return intervalOf(drawn, (log) => 100 * Math.expm1(log))
}

export function intervalOf({ value, draws }: Drawn, to: (log: number) => number): Estimate {
  const [low, high] = quantiles(draws, [(1 - ESTIMATE_LEVEL) / 2, (1 + ESTIMATE_LEVEL) / 2])
  // Adding 0 turns a negative zero into a plain one.
  return {
    value: to(value) + 0,
    low: to(Math.min(value, low!)) + 0,
    high: to(Math.max(value, high!)) + 0,
    level: ESTIMATE_LEVEL,
  }
}
