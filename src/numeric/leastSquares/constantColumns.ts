import { dot } from '../dot.js'

/** Remembers which columns of derivatives stay as they are, so that nobody need ask for them again. */
export interface StillColumns {
  /** Writes a column over `into` when it is known not to change on the way to this point; false when it must be found. */
  recall(j: number, at: Float64Array, into: Float64Array): boolean
  /** Notes a column that was found at a point. */
  note(j: number, at: Float64Array, column: Float64Array): void
}

/**
 * A parameter that a model is linear in, by itself, has a column that is the same everywhere: an offset, a slope. Such a
 * column is told by its being found twice, a step apart, with no more than the error of differences between. It is then
 * taken over as long as no parameter leaves the second point farther than it came to it from the first.
 *
 * @param count - p columns
 * @param error - relative error of a column as it is found
 * @param take - gives an array for a column
 */
export function constantColumns(count: number, error: number, take: () => Float64Array): StillColumns {
  const known: Known[] = Array.from({ length: count }, () => ({
    column: undefined,
    from: undefined,
    reach: undefined,
  }))
  return {
    recall: (j, at, into) => {
      const { column, from, reach } = known[j]!
      if (!column || !reach || !isWithin(at, from!, reach)) return false
      into.set(column)
      return true
    },
    note: (j, at, column) => {
      const now = known[j]!
      if (now.from && !now.column) return
      const { from, column: before } = now
      const still = before !== undefined && isSame(before, column, SAME_ERRORS * error)
      now.reach = still ? at.map((value, i) => Math.abs(value - from![i]!)) : undefined
      now.from = at.slice()
      if (!before) now.column = take()
      if (!before || still) now.column!.set(column)
      // A column that has changed once is not watched any more.
      else now.column = undefined
    },
  }
}

interface Known {
  /** As it was found last; undefined before it was, and once it has changed. */
  column: Float64Array | undefined
  from: Float64Array | undefined
  /** How far each parameter may go from there; undefined for a column that was found only once. */
  reach: Float64Array | undefined
}

/** Two columns with errors of their own differ by less than this many times one's error. */
const SAME_ERRORS = 3

function isWithin(at: Float64Array, from: Float64Array, reach: Float64Array): boolean {
  for (let i = 0; i < at.length; i++) if (!(Math.abs(at[i]! - from[i]!) <= reach[i]!)) return false
  return true
}

function isSame(a: Float64Array, b: Float64Array, share: number): boolean {
  // Most columns change, and one place in the middle tells.
  const middle = a.length >> 1
  if (Math.abs(a[middle]! - b[middle]!) > SURELY * Math.abs(a[middle]!)) return false
  let gap = 0
  for (let i = 0; i < a.length; i++) gap += (a[i]! - b[i]!) ** 2
  return gap <= share * share * dot(b, b)
}

/** A single derivative that differs by so much is no rounding. */
const SURELY = 1e-4
