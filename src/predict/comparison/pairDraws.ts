import type { Chip } from '../../physics/chip/chip.js'

/** One draw of every chip, and how probable that combination is. */
export interface DrawCombination {
  readonly weight: number
  /** Index into each chip's draws. */
  readonly draws: readonly number[]
}

/**
 * Combines posterior draws of several chips that know nothing of each other. Weights add up to 1.
 *
 * A lattice stands for all combinations at a small part of their number. A chip that appears twice keeps one draw for both, so
 * its ratio to itself is exactly 1.
 *
 * @param chips - one or more
 */
export function pairDraws(chips: readonly Chip[]): readonly DrawCombination[] {
  const different = [...new Set(chips)]
  const places = chips.map((chip) => different.indexOf(chip))
  const orders = different.map(evenOrder)
  const multipliers = different.map((_, place) => multiplier(place))
  return Array.from({ length: PAIRS }, (_, i) => ({
    weight: 1 / PAIRS,
    draws: places.map((place) => orders[place]![(i * multipliers[place]!) % PAIRS]!),
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

/** A chip's draws by index, each as often as its weight asks. */
function evenOrder(chip: Chip): readonly number[] {
  const order: number[] = []
  let sum = 0
  chip.draws.forEach(({ weight }, index) => {
    sum += weight
    while (order.length < PAIRS && order.length + 0.5 < sum * PAIRS) order.push(index)
  })
  while (order.length < PAIRS) order.push(chip.draws.length - 1)
  return order
}
