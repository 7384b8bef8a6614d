/** Columns of numbers that are written over again and again: asking for memory costs as much as filling it. */
export type Columns = readonly Float64Array[]

/**
 * Hands out sets of columns.
 *
 * @param count - columns in a set
 * @param length - numbers in a column
 * @returns a function that gives the first set that isn't among those still in use, or a new one
 */
export function columnRooms(count: number, length: number): (used: readonly unknown[]) => Columns {
  const rooms: Columns[] = []
  return (used) => {
    for (const room of rooms) if (!used.includes(room)) return room
    const added = Array.from({ length: count }, () => new Float64Array(length))
    rooms.push(added)
    return added
  }
}
