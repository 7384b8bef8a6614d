/**
 * Round values (1, 2 or 5 times a power of ten apart) from `low` to `high`, at most `most` of them.
 *
 * @example roundTicks(44, 96, 6) // [50, 60, 70, 80, 90]
 */
export function roundTicks(low: number, high: number, most: number): number[] {
  const rough = (high - low) / Math.max(1, most)
  return rough > 0 ? multiplesWithin(low, high, roundStepAbove(rough)) : [low]
}

/**
 * Multiples of a step from `low` to `high`, with a bound that misses one by rounding counted in.
 *
 * @example multiplesWithin(0.1, 0.5, 0.2) // [0.2, 0.4]
 */
export function multiplesWithin(low: number, high: number, step: number): number[] {
  const first = Math.ceil(low / step - ROUNDING)
  const last = Math.floor(high / step + ROUNDING)
  // Twelve digits leave out what the product adds to 0.6.
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) =>
    Number(((first + i) * step).toPrecision(12)),
  )
}

/**
 * The smallest of 1, 2 or 5 times a power of ten that is not below a length > 0.
 *
 * @example roundStepAbove(3) // 5
 */
export function roundStepAbove(length: number): number {
  const decade = 10 ** Math.floor(Math.log10(length))
  return decade * ([1, 2, 5].find((factor) => factor * decade >= length * (1 - ROUNDING)) ?? 10)
}

/**
 * The largest of 1, 2 or 5 times a power of ten that is not above a length > 0.
 *
 * @example roundStepBelow(3) // 2
 */
export function roundStepBelow(length: number): number {
  const decade = 10 ** Math.floor(Math.log10(length))
  return decade * ([5, 2, 1].find((factor) => factor * decade <= length * (1 + ROUNDING)) ?? 1)
}

/** Far above the rounding of a quotient, far below what a reader of an axis sees. */
const ROUNDING = 1e-9
