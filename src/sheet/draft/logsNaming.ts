/**
 * The logs that are of a machine, a mode or a workload, by the words in their paths: those that name it; where none does, those that name
 * no other either.
 *
 * A path names what all words of it stand in together (`heron-14-battery.csv`, `heron 14/battery.csv`); of two names where one holds the
 * other, the longer (`Heron 14 Pro` before `Heron 14`).
 *
 * @param asked - null: whatever the path says
 * @param known - all names of its kind in the table
 * @example logsNaming(['heron-12.csv', 'heron-14.csv'], (log) => log, 'Heron 14', ['Heron 12', 'Heron 14']) // ['heron-14.csv']
 */
export function logsNaming<Log>(
  logs: readonly Log[],
  pathOf: (log: Log) => string,
  asked: string | null,
  known: readonly string[],
): readonly Log[] {
  if (asked === null) return logs
  const named = logs.map((log) => namesIn(pathOf(log), known))
  const own = logs.filter((_, index) => named[index]!.some((name) => isSameName(name, asked)))
  return own.length > 0 ? own : logs.filter((_, index) => named[index]!.length === 0)
}

/** The same name, whatever its case and the spaces around it. */
export function isSameName(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase()
}

function namesIn(path: string, known: readonly string[]): readonly string[] {
  const words = wordsOf(path)
  const found = known
    .map((name) => ({ name, words: wordsOf(name) }))
    .filter((name) => name.words.length > 0 && holds(words, name.words))
  return found
    .filter(
      (one) => !found.some((other) => other.words.length > one.words.length && holds(other.words, one.words)),
    )
    .map(({ name }) => name)
}

/** Whether words stand in others, side by side. */
function holds(words: readonly string[], inner: readonly string[]): boolean {
  return words.some((_, at) => inner.every((word, index) => words[at + index] === word))
}

function wordsOf(text: string): readonly string[] {
  return text.toLowerCase().match(/\p{L}+|\p{N}+/gu) ?? []
}
