import leven from 'leven'

/**
 * The known word that a mistyped one was most likely meant to be; undefined when none is near.
 *
 * Near: an edit distance (Levenshtein) of at most a third of the longer word's length, and at least 1 is allowed.
 */
export function nearestKey(word: string, known: readonly string[]): string | undefined {
  const ranked = known
    .map((candidate) => ({
      candidate,
      distance: leven(word.slice(0, 40).toLowerCase(), candidate.toLowerCase()),
    }))
    .sort((a, b) => a.distance - b.distance)
  const best = ranked[0]
  if (best === undefined) return undefined
  const allowed = Math.max(1, Math.floor(Math.max(word.length, best.candidate.length) / 3))
  return best.distance <= allowed ? best.candidate : undefined
}
