import { InputError } from '../../errors.js'
import { type Estimate, estimateFromDraws } from '../../numeric/statistics/estimate.js'
import type { Chip } from '../../physics/chip/chip.js'
import { type ChipPoint, chipAt, scoreFromRate } from '../../physics/chip/chipAt.js'
import { chipAtTemperature, middleTemperature } from '../../physics/chip/chipAtTemperature.js'
import { requirePowers } from '../../physics/chip/requirePowers.js'
import { rateAt } from '../../physics/chip/scoreCurve.js'
import type { Warning } from '../../warnings.js'
import { type Crossover, findCrossovers } from './findCrossovers.js'
import { type DrawCombination, pairDraws } from './pairDraws.js'
import { roundPowers } from './roundPowers.js'

/** One machine of a comparison. */
export interface ComparedMachine {
  readonly machine: string
  readonly chip: Chip
  /** Power the machine settles at, W; null for a chip without a chassis. */
  readonly sustainedW: number | null
  /** The same with its interval, where a test measured it. */
  readonly sustained?: Estimate
  /** Steady score as measured; left out without one. */
  readonly steadyScore?: Estimate | null
}

/** Chips at one power (section 3 of cli/README.md, `compare`). */
export interface EqualPower {
  readonly powerW: number
  readonly scores: readonly {
    readonly chip: string
    readonly machine: string
    readonly score: Estimate
    readonly perWatt: Estimate
  }[]
  /** Score of the first named over that of the second, as scores are named: for a time, below 1 means faster. */
  readonly ratio: Estimate
  /** Probability that the first is the better one of the first two, whichever direction is better. */
  readonly probabilityFirstAhead: number
  /** Chips for which this power lies outside what was measured. */
  readonly extrapolated: readonly string[]
  /** Best first, with the probability of being the best of all. */
  readonly ranking: readonly {
    readonly chip: string
    readonly machine: string
    readonly probabilityBest: number
  }[]
}

export interface ChipComparison {
  readonly machines: readonly {
    readonly machine: string
    readonly chip: string
    readonly sustainedW: number | null
    /** The same with its interval; null where no test tells it. */
    readonly sustained: Estimate | null
    /** Score of the fitted curve at the machine's own settled power; null without one. */
    readonly score: Estimate | null
    /** Steady score as measured; null without one. */
    readonly steadyScore: Estimate | null
  }[]
  /** Temperature that the chips are compared at, degrees C: halfway between those that their curves hold for; null where none is known. */
  readonly referenceC: number | null
  readonly at: readonly EqualPower[]
  readonly crossovers: readonly Crossover[]
  readonly warnings: readonly Warning[]
}

/**
 * Chips at equal power: scores, score per watt, the ratio of the first two, who is ahead, and where two chips cross.
 *
 * Points per watt at two different powers is no comparison, as every chip's efficiency rises when its power falls. Ratios
 * come from pairs of posterior draws of both chips, so their interval carries both uncertainties. All chips are brought to one temperature,
 * halfway between those of their tests.
 *
 * @param options.machines - two or more, of the same workload: one for each chip
 * @param options.tested - every machine that was tested, with a chip or another's; by default `machines`
 * @param options.atW - powers, W; by default round watts across the range that all chips were measured in
 * @throws InputError `machines-too-few`, `power-not-positive`, `scores-not-comparable`, `power-below-chip`, `power-out-of-reach`
 * @example compareChips({ machines: [a, b], atW: [40, 55] }).at[0]?.ratio.value
 */
export function compareChips(options: {
  readonly machines: readonly ComparedMachine[]
  readonly tested?: readonly ComparedMachine[]
  readonly atW?: readonly number[]
}): ChipComparison {
  requireComparable(options.machines)
  const referenceC = middleTemperature(options.machines.map(({ chip }) => chip))
  const machines = options.machines.map(({ chip, ...machine }) => ({
    ...machine,
    chip: chipAtTemperature(chip, referenceC),
  }))
  const atW = options.atW ?? roundPowers(machines.map(({ chip }) => chip.measuredRangeW))
  const chips = machines.map(({ chip }) => chip)
  for (const chip of chips) requirePowers(chip, options.atW?.filter((powerW) => powerW > 0) ?? [])
  const combinations = { pairs: pairDraws(chips.slice(0, 2)), all: pairDraws(chips) }
  const at = atW.map((powerW) => compareAt(machines, powerW, combinations))
  return {
    machines: (options.tested ?? options.machines).map(describeMachine),
    referenceC,
    at,
    crossovers: findCrossovers(chips),
    warnings: extrapolationWarnings(machines, atW),
  }
}

function requireComparable(machines: readonly ComparedMachine[]): void {
  if (machines.length < 2) {
    throw new InputError('machines-too-few', `expected two or more machines, got ${machines.length}`, {
      remedy: 'Name a second test sheet or chip model.',
    })
  }
  const first = machines[0]!.chip.workload
  const other = machines.find(
    ({ chip }) => chip.workload.better !== first.better || chip.workload.score !== first.score,
  )?.chip
  if (other !== undefined) {
    const say = (chip: Chip): string =>
      `${chip.name} in ${chip.workload.score} (${chip.workload.better} is better)`
    throw new InputError(
      'scores-not-comparable',
      `expected the same kind of score of all machines, got ${say(machines[0]!.chip)} and ${say(other)}`,
      { remedy: 'Compare sheets of one workload, with the same score unit and `better`.' },
    )
  }
}

function describeMachine(of: ComparedMachine): ChipComparison['machines'][number] {
  const { machine, chip, sustainedW, sustained = null, steadyScore = null } = of
  const score = sustainedW === null ? null : (chipAt(chip, sustainedW)?.score ?? null)
  return { machine, chip: chip.name, sustainedW, sustained, score, steadyScore }
}

interface Combinations {
  /** Of the first two machines. */
  readonly pairs: readonly DrawCombination[]
  readonly all: readonly DrawCombination[]
}

function compareAt(
  machines: readonly ComparedMachine[],
  powerW: number,
  combinations: Combinations,
): EqualPower {
  const points = machines.map(({ chip }) => pointOf(chip, powerW))
  const rates = machines.map(({ chip }) => chip.draws.map(({ curve }) => rateAt(curve, powerW)))
  const [first] = machines as readonly [ComparedMachine, ComparedMachine]
  const pairs = combinations.pairs
    .map(({ weight, draws: [a, b] }) => ({
      weight,
      rates: [rates[0]![a!]!, rates[1]![b!]!] as const,
    }))
    // As in `chipAt`: figures are of the draws in which both chips do work at this power.
    .filter((pair) => pair.rates[0] > 0 && pair.rates[1] > 0)
  const { workload } = first.chip
  const ratio = estimateFromDraws({
    values: pairs.map(({ rates: [a, b] }) => scoreFromRate(workload, a) / scoreFromRate(workload, b)),
    weights: pairs.map((pair) => pair.weight),
  })
  return {
    powerW,
    scores: points.map(({ score, perWatt }, i) => ({ ...namesOf(machines[i]!), score, perWatt })),
    ratio,
    probabilityFirstAhead: probabilityFirst(pairs),
    extrapolated: machines.filter(({ chip }) => isOutside(chip, powerW)).map(({ chip }) => chip.name),
    ranking: rankMachines(machines, rates, combinations.all),
  }
}

function namesOf({ machine, chip }: ComparedMachine): { readonly machine: string; readonly chip: string } {
  return { chip: chip.name, machine }
}

function pointOf(chip: Chip, powerW: number): ChipPoint {
  if (!(powerW > 0)) {
    throw new InputError('power-not-positive', `expected a power above 0 W, got ${powerW} W`)
  }
  const point = chipAt(chip, powerW)
  if (point === undefined) {
    const [low, high] = chip.measuredRangeW.map((w) => w.toFixed(0))
    throw new InputError(
      'power-below-chip',
      `${chip.name} was measured from ${low} to ${high} W; whether it would run at all at ${powerW} W can't be told.`,
      { remedy: `Compare at a power nearer to ${low} W.` },
    )
  }
  return point
}

/** Ties count half, so that a chip against itself is ahead with probability one half. */
function probabilityFirst(
  pairs: readonly { readonly weight: number; readonly rates: readonly [number, number] }[],
): number {
  const total = pairs.reduce((sum, { weight }) => sum + weight, 0)
  const ahead = pairs.reduce(
    (sum, { weight, rates: [a, b] }) => sum + weight * (a > b ? 1 : a === b ? 0.5 : 0),
    0,
  )
  return Math.min(1, ahead / total)
}

function rankMachines(
  machines: readonly ComparedMachine[],
  rates: readonly (readonly number[])[],
  combinations: readonly DrawCombination[],
): EqualPower['ranking'] {
  const best = new Float64Array(machines.length)
  for (const { weight, draws } of combinations) {
    const drawn = draws.map((draw, i) => rates[i]![draw]!)
    const highest = Math.max(...drawn)
    const winners = drawn.flatMap((rate, i) => (rate === highest ? [i] : []))
    for (const i of winners) best[i]! += weight / winners.length
  }
  return machines
    .map((machine, i) => ({
      ...namesOf(machine),
      probabilityBest: Math.min(1, best[i]!),
      rate: medianOf(rates[i]!, machine.chip),
    }))
    .sort((a, b) => b.rate - a.rate)
    .map(({ rate: _rate, ...entry }) => entry)
}

function medianOf(rates: readonly number[], chip: Chip): number {
  return estimateFromDraws({ values: rates, weights: chip.draws.map((draw) => draw.weight) }).value
}

function isOutside(chip: Chip, powerW: number): boolean {
  const [low, high] = chip.measuredRangeW
  // A measured level is only known to a per cent or so.
  return powerW < low * 0.99 || powerW > high * 1.01
}

function extrapolationWarnings(
  machines: readonly ComparedMachine[],
  atW: readonly number[],
): readonly Warning[] {
  return machines.flatMap(({ chip }) => {
    const outside = atW.filter((powerW) => isOutside(chip, powerW))
    const distance = (powerW: number): number =>
      Math.max(chip.measuredRangeW[0] / powerW, powerW / chip.measuredRangeW[1])
    const farthest = outside.sort((a, b) => distance(b) - distance(a))[0]
    return farthest === undefined
      ? []
      : [{ code: 'extrapolated' as const, measuredRangeW: chip.measuredRangeW, powerW: farthest }]
  })
}
