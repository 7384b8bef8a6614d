import { execFileSync } from 'node:child_process'
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { availableParallelism, loadavg } from 'node:os'

const HEAD = [
  '# Measured times and digits',
  '',
  'Written by `npm run bench`; README.md beside this says what the tables are. Compare within a table.',
  '',
].join('\n')

/**
 * Puts a table into a file of results, in place of the one of that name, with when and where it was made. The kind of processor is not
 * noted: what counts is the ratio to what ran beside it.
 *
 * @param name - of the table, as on the command line
 */
export function keepResults(file: string, name: string, lines: readonly string[]): void {
  const kept = existsSync(file) ? sectionsOf(readFileSync(file, 'utf8')) : new Map<string, string>()
  kept.set(name, [...lines, '', sayWhereAndWhen()].join('\n').trim())
  const sections = [...kept].map(([key, text]) => `<!-- ${key} -->\n\n${text}\n`)
  writeFileSync(file, [HEAD, ...sections].join('\n'))
}

/** Text of each table by name, in the order of the file. */
function sectionsOf(text: string): Map<string, string> {
  const parts = text.split(/^<!-- (\w+) -->$/m)
  const sections = new Map<string, string>()
  for (let i = 1; i + 1 < parts.length; i += 2) sections.set(parts[i]!, parts[i + 1]!.trim())
  return sections
}

function sayWhereAndWhen(): string {
  const commit = execFileSync('git', ['describe', '--always', '--dirty'], { encoding: 'utf8' }).trim()
  const day = new Date().toISOString().slice(0, 10)
  const load = loadavg()[0]!.toFixed(1)
  return `*${day}, commit ${commit}, Node ${process.versions.node}, ${availableParallelism()} processors, load ${load} at the end.*`
}
