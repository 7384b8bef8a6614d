import type { Chip } from '../curves/chip.js'
import type { ScoreCurve } from '../curves/scoreCurve.js'

/** One possible curve for every chip, and how probable that combination is. */
export interface CurvePair {
  readonly weight: number
  readonly curves: readonly ScoreCurve[]
}

/**
 * Combines posterior draws of several chips that know nothing of each other. Weights add up to 1.
 *
 * A lattice stands for all combinations at a small part of their number. A chip that appears twice keeps one curve for both, so its ratio to itself is exactly 1.
 *
 * @param chips - one or more
 */
export function pairCurves(chips: readonly Chip[]): readonly CurvePair[] {
  const different = [...new Set(chips)]
  const places = chips.map((chip) => different.indexOf(chip))
  const orders = different.map((chip) => evenOrder(chip))
  return Array.from({ length: PAIRS }, (_, i) => ({
    weight: 1 / PAIRS,
    curves: places.map((place) => orders[place]![(i * multiplier(place)) % PAIRS]!),
  }))
}

/** A prime number of combinations, so that any multiplier below it visits every draw once. */
const PAIRS = 2003
/** Near PAIRS times the golden section: two chips' draws then meet as evenly as a lattice can have it. */
const GENERATOR = 1238

/**
 * Multiplier of the place-th chip: a power of the generator, modulo the number of pairs.
 *
 * @source lattice rule of N. M. Korobov (1959), from memory
 */
function multiplier(place: number): number {
  let product = 1
  for (let i = 0; i < place; i++) product = (product * GENERATOR) % PAIRS
  return product
}

/** A chip's curves, each as often as its weight asks. */
function evenOrder(chip: Chip): readonly ScoreCurve[] {
  const order: ScoreCurve[] = []
  let sum = 0
  for (const { weight, curve } of chip.draws) {
    sum += weight
    while (order.length < PAIRS && order.length + 0.5 < sum * PAIRS) order.push(curve)
  }
  while (order.length < PAIRS) order.push(chip.draws.at(-1)!.curve)
  return order
}
