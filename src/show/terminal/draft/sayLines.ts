/**
 * Lines of a table in words, each once; three or more in a row by their ends.
 *
 * @example sayLines([{ line: 2 }, { line: 3 }, { line: 4 }, { line: 9 }]) // 'lines 2 to 4, 9'
 */
export function sayLines(rows: readonly { readonly line: number }[]): string {
  const lines = [...new Set(rows.map(({ line }) => line))]
  const ranges: [number, number][] = []
  for (const line of lines) {
    const last = ranges.at(-1)
    if (last !== undefined && last[1] === line - 1) last[1] = line
    else ranges.push([line, line])
  }
  const told = ranges.map(([from, to]) =>
    from === to ? `${from}` : `${from}${to === from + 1 ? ', ' : ' to '}${to}`,
  )
  return `${lines.length === 1 ? 'line' : 'lines'} ${told.join(', ')}`
}
