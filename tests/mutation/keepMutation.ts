import { readFileSync, writeFileSync } from 'node:fs'

/** A report of Stryker, as far as it is read here. */
interface MutationReport {
  readonly files: { readonly [path: string]: { readonly mutants: readonly { readonly status: string }[] } }
}

/**
 * Puts the counts of a mutation run into the table of results: mutants noticed, of all, when, and by which tests. What somebody wrote
 * about the others stays.
 *
 * @param table - path of the Markdown table
 * @param report - path of Stryker's JSON report
 * @param tests - which tests were run, in words
 */
export function keepMutation(table: string, report: string, tests: string): void {
  const { files } = JSON.parse(readFileSync(report, 'utf8')) as MutationReport
  const [head, rows] = partsOf(readFileSync(table, 'utf8'))
  const day = new Date().toISOString().slice(0, 10)
  for (const [path, { mutants }] of Object.entries(files)) {
    const counted = mutants.filter(({ status }) => COUNTED.includes(status))
    const noticed = counted.filter(({ status }) => NOTICED.includes(status))
    const name = path.replace(/^src\//, '')
    const note = rows.get(name)?.split('|').at(-2)?.trim() ?? ''
    rows.set(name, `| \`${name}\` | ${noticed.length} | ${counted.length} | ${day} | ${tests} | ${note} |`)
  }
  const sorted = [...rows].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, row]) => row)
  writeFileSync(table, `${head}${sorted.join('\n')}\n`)
}

const NOTICED = ['Killed', 'Timeout']
const COUNTED = [...NOTICED, 'Survived', 'NoCoverage']

/** All up to the first row, and the rows by file. */
function partsOf(text: string): readonly [head: string, rows: Map<string, string>] {
  const first = text.indexOf('| `')
  const rows = text.slice(first).trim().split('\n')
  return [text.slice(0, first), new Map(rows.map((row) => [/`(.*?)`/.exec(row)![1]!, row]))]
}
