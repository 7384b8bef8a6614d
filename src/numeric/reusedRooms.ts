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
