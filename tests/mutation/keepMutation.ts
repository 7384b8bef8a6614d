import { readFileSync, writeFileSync } from 'node:fs'
import { partMutants, readReport } from './mutationReport.js'

/**
 * Puts the counts of a mutation run into the table of results: mutants noticed, of all, when, and by which tests. What somebody wrote
 * about the others stays.
 *
 * @param table - path of the Markdown table
 * @param report - path of Stryker's JSON report
 * @param tests - which tests were run, in words
 */
export function keepMutation(table: string, report: string, tests: string): void {
  const [head, rows] = partsOf(readFileSync(table, 'utf8'))
  const day = new Date().toISOString().slice(0, 10)
  for (const [name, file] of readReport(report)) {
    const { noticed, missed } = partMutants(file)
    const counts = `${noticed.length} | ${noticed.length + missed.length}`
    const note = rows.get(name)?.split('|').at(-2)?.trim() ?? ''
    rows.set(name, `| \`${name}\` | ${counts} | ${day} | ${tests} | ${note} |`)
  }
  const sorted = [...rows].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, row]) => row)
  writeFileSync(table, `${head}${sorted.join('\n')}\n`)
}

/** The day on which each file was run last. @param table - path of the Markdown table */
export function readDays(table: string): ReadonlyMap<string, string> {
  const [, rows] = partsOf(readFileSync(table, 'utf8'))
  return new Map([...rows].map(([name, row]) => [name, row.split('|')[4]!.trim()]))
}

/** All up to the first row, and the rows by file. */
function partsOf(text: string): readonly [head: string, rows: Map<string, string>] {
  const first = text.indexOf('| `')
  const rows = text.slice(first).trim().split('\n')
  return [text.slice(0, first), new Map(rows.map((row) => [/`(.*?)`/.exec(row)![1]!, row]))]
}
