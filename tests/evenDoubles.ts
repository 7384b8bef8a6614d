import fc from 'fast-check'

/**
 * Doubles spread evenly between two ends, both included. `fc.double` draws evenly from all bit patterns: of a range that holds 0 nearly all that
 * it gives lies within 1e-20 of 0.
 */
export function evenDoubles(min: number, max: number): fc.Arbitrary<number> {
  return fc.integer({ min: 0, max: STEPS }).map((k) => min + ((max - min) * k) / STEPS)
}

const STEPS = 2 ** 20
