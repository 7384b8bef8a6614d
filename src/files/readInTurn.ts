/**
 * Reads several things, a few at once: what a command opens at the same time does not grow with what it is given, since the
 * system lets a process have only so many files open.
 *
 * @returns in the order given
 * @throws what the first of them to fail throws
 */
export async function readInTurn<T, R>(items: readonly T[], read: (item: T) => Promise<R>): Promise<R[]> {
  const results: R[] = []
  let next = 0
  const worker = async (): Promise<void> => {
    while (next < items.length) {
      const at = next++
      results[at] = await read(items[at]!)
    }
  }
  await Promise.all(Array.from({ length: Math.min(AT_ONCE, items.length) }, worker))
  return results
}

/** Enough to read from a disk while another file is being parsed. */
const AT_ONCE = 4
