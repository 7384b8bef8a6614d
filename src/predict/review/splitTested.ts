import type { ReviewedTest, ScoredPart, ScoredPower } from '../../machine/review/fitReview.js'
import { argsort } from '../../numeric/argsort.js'
import { mean } from '../../numeric/statistics/moments.js'
import { shapleyValues } from '../../numeric/statistics/shapleyValues.js'
import type { Chip } from '../../physics/chip/chip.js'
import { leakageHeat } from '../../physics/chip/leakageHeat.js'
import { fillRates } from '../../physics/chip/scoreCurve.js'
import { logSpeed, REVIEW_DRAWS, type ReviewDraws } from './reviewDraws.js'

/** Why one machine is ahead in one test: its chip, the power that it held, its temperature, and what none of these explains. */
export type ReviewCause = 'chip' | 'power' | 'temperature' | 'rest'

/** Parts of ln(A / B), one value a draw; with the middle of each. Parts add up to the whole, draw by draw. */
export type SplitParts = Readonly<
  Record<ReviewCause, { readonly value: number; readonly draws: readonly number[] }>
>

/** One machine's side of a comparison. */
export interface SplitSide {
  readonly test: ReviewedTest
  readonly part: ScoredPart
}

/**
 * Divides how far A is ahead of B, as tested, among the chips, the power that each held, and temperature.
 *
 * The curve of either chip is put into the measured power of either machine's runs; each cause's part is its Shapley value, as in
 * `explainGap`, which does the same with fitted chassis. Here powers are taken as they were measured, so no chassis is needed. What is left
 * over is the rest: run-to-run scatter, and whatever the curves miss. Where both machines give the task all the power that it asks for,
 * what it asks for is the chip's own, and power has no part.
 *
 * @returns null where the power of one of the two is not known, or one chip would not run at the power of the other
 * @source L. S. Shapley (1953), Annals of Mathematics Studies 28, 307-317
 */
export function splitTested(a: SplitSide, b: SplitSide, draws: ReviewDraws): SplitParts | null {
  const [powerA, powerB] = [a.part.power, b.part.power]
  const [chipA, chipB] = [a.test.chip, b.test.chip]
  if (!powerA || !powerB || !chipA || !chipB) return null
  const chips = [chipB, chipA].map((chip) => {
    return {
      chip,
      of: draws.curves(chip),
      rates: [powerB, powerA].map((power) => knownLogRates(chip, power)),
    }
  })
  const isAsked = a.test.heldBy === 'demand' && b.test.heldBy === 'demand'
  const isWarm = powerA.meanC !== null && powerB.meanC !== null
  const heats = [chipB, chipA].map(({ referenceC }) =>
    [powerB, powerA].map(({ meanC }) => (isWarm ? leakageHeat(meanC!, referenceC ?? meanC!) : 0)),
  )
  const shares = Array.from({ length: REVIEW_DRAWS }, (_, k) =>
    shapleyValues(3, (set) => {
      const { chip, of, rates } = chips[set & 1]!
      const draw = of[k]!
      const heatPerK = chip.draws[draw]!.heatPerK ?? 0
      return rates[isAsked ? set & 1 : (set >> 1) & 1]![draw]! - heatPerK * heats[set & 1]![(set >> 2) & 1]!
    }),
  )
  const kept = shares.map((parts) => parts.every(Number.isFinite))
  if (kept.filter(Boolean).length < LEAST_WORKING * kept.length) return null
  return partsOf(shares, kept, {
    value: logSpeed(a.test, a.part) - logSpeed(b.test, b.part),
    draws: differences(draws.logSpeeds(a.test, a.part), draws.logSpeeds(b.test, b.part)),
  })
}

/** With fewer draws in which both chips work at both powers, nothing is said. */
const LEAST_WORKING = 0.9

interface Whole {
  readonly value: number
  readonly draws: readonly number[]
}

/** Draws in which a chip does no work take the place of the middle: they are few. */
function partsOf(shares: readonly (readonly number[])[], kept: readonly boolean[], whole: Whole): SplitParts {
  const part = (j: number) => {
    const value = mean(shares.filter((_, k) => kept[k]).map((parts) => parts[j]!))!
    return { value, draws: shares.map((parts, k) => (kept[k] ? parts[j]! : value)) }
  }
  const [chip, power, temperature] = [part(0), part(1), part(2)]
  const rest = {
    value: whole.value - chip.value - power.value - temperature.value,
    draws: whole.draws.map((value, k) => value - chip.draws[k]! - power.draws[k]! - temperature.draws[k]!),
  }
  return { chip, power, temperature, rest }
}

export function differences(a: readonly number[], b: readonly number[]): readonly number[] {
  return a.map((value, k) => value - b[k]!)
}

type Levels = Pick<ScoredPower['profile'], 'powersW' | 'secondsS'>

/** Levels that stand for a power course: a rate is smooth in power, so that no more are needed. */
const LEVELS = 12

function thinned({ profile: { powersW, secondsS } }: ScoredPower): Levels {
  const order = argsort(powersW)
  const wholeS = secondsS.reduce((sum, seconds) => sum + seconds, 0)
  const bins = Array.from({ length: LEVELS }, () => ({ energyJ: 0, seconds: 0 }))
  let passedS = 0
  for (const i of order) {
    const bin = bins[Math.min(LEVELS - 1, Math.floor((LEVELS * (passedS + secondsS[i]! / 2)) / wholeS))]!
    bin.energyJ += powersW[i]! * secondsS[i]!
    bin.seconds += secondsS[i]!
    passedS += secondsS[i]!
  }
  const filled = bins.filter(({ seconds }) => seconds > 0)
  return {
    powersW: filled.map(({ energyJ, seconds }) => energyJ / seconds),
    secondsS: filled.map(({ seconds }) => seconds),
  }
}

/** ln of the time-mean rate that each of a chip's curves makes of the power of some runs; a chip meets the same runs in several pairs. */
function knownLogRates(chip: Chip, power: ScoredPower): readonly number[] {
  const ofChip = KNOWN_RATES.get(chip) ?? new Map<ScoredPower, readonly number[]>()
  KNOWN_RATES.set(chip, ofChip)
  const known = ofChip.get(power) ?? logRates(chip, thinned(power))
  ofChip.set(power, known)
  return known
}

const KNOWN_RATES = new WeakMap<Chip, Map<ScoredPower, readonly number[]>>()

function logRates({ draws }: Chip, { powersW, secondsS }: Levels): readonly number[] {
  const wholeS = secondsS.reduce((sum, seconds) => sum + seconds, 0)
  const rates = new Float64Array(powersW.length)
  return draws.map(({ curve }) => {
    fillRates(curve, powersW, rates)
    const work = rates.reduce((sum, rate, i) => sum + rate * secondsS[i]!, 0)
    return Math.log(work / wholeS)
  })
}
