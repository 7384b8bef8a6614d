import type { CommandEntry } from './commands.js'

/** What `holdwatt` alone and `holdwatt --help` print: the job in a sentence, the commands, and where to begin. */
export function sayOverview(commands: readonly CommandEntry[], version: string): string {
  const width = Math.max(...commands.map((entry) => entry.name.length))
  const rows = commands.map((entry) => `  ${entry.name.padEnd(width)}  ${entry.summary}`)
  return [
    `holdwatt ${version}: from a power log and its scores to what chip and chassis can do.`,
    '',
    ...rows,
    '',
    'Begin with a log:        holdwatt stages LOG.csv',
    'Then add the scores:     holdwatt fit SHEET.yaml',
    'In a stronger chassis:   holdwatt project SHEET.yaml --sustained 71W',
    '',
    'holdwatt COMMAND --help shows options and examples; holdwatt --version the version.',
    '',
  ].join('\n')
}
