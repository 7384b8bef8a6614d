/** Arrays of one length, taken for the time of a computation. */
export interface ArrayLease {
  /** An array with anything in it. */
  take(): Float64Array
  /** Ends the lease: nobody may look at its arrays after that. */
  giveBack(): void
}

/**
 * Lends arrays that the computation before has given back, when they have the length: for fits of a thousand residuals, asking for
 * new memory and filling it with zeros costs more than computing with it. Arrays of the last length only are kept, and few.
 *
 * A computation inside another one takes other arrays; one that throws simply keeps its own.
 *
 * @example leaseArrays(1000).take().length // 1000
 */
export function leaseArrays(length: number): ArrayLease {
  const taken: Float64Array[] = []
  return {
    take: () => {
      const array = (kept.length === length ? kept.arrays.pop() : undefined) ?? new Float64Array(length)
      taken.push(array)
      return array
    },
    giveBack: () => {
      if (kept.length !== length) kept = { length, arrays: [] }
      const room = Math.min(MOST_ARRAYS, Math.floor(MOST_NUMBERS / length)) - kept.arrays.length
      kept.arrays.push(...taken.splice(0, Math.max(0, room)))
    },
  }
}

/** What a fit of a few parameters takes. */
const MOST_ARRAYS = 40
/** 4 MB. */
const MOST_NUMBERS = 500_000

let kept: { readonly length: number; readonly arrays: Float64Array[] } = { length: 0, arrays: [] }

/**
 * Hands out room for numbers that are written over again and again: asking for memory costs as much as filling it.
 *
 * @param make - a new room
 * @returns a function that gives the first room that isn't among those still in use, or a new one
 */
export function reusedRooms<Room>(make: () => Room): (used: readonly (Room | undefined)[]) => Room {
  const rooms: Room[] = []
  return (used) => {
    for (const room of rooms) if (!used.includes(room)) return room
    const added = make()
    rooms.push(added)
    return added
  }
}
