import { type Mutant, partMutants, readReport } from './mutationReport.js'

/**
 * A run's score by file, and below it each change that no test noticed: where, what stood there, what stood there instead.
 *
 * @param report - path of Stryker's JSON report
 * @returns lines of text
 */
export function listSurvivors(report: string): string {
  return [...readReport(report)]
    .map(([name, file]) => {
      const { noticed, missed } = partMutants(file)
      const lines = file.source.split('\n')
      const listed = missed.map((mutant) => `  ${describe(mutant, lines)}`)
      return [`${name}: ${noticed.length} of ${noticed.length + missed.length} noticed`, ...listed].join('\n')
    })
    .join('\n')
}

function describe(
  { location: { start, end }, replacement, status }: Mutant,
  lines: readonly string[],
): string {
  const line = lines[start.line - 1]!
  const was =
    start.line === end.line
      ? line.slice(start.column - 1, end.column - 1)
      : `${line.slice(start.column - 1)} …`
  const reached = status === 'NoCoverage' ? ', which no test runs' : ''
  return `line ${start.line}: ${was} -> ${(replacement ?? '').replace(/\s+/g, ' ')}${reached}`
}
