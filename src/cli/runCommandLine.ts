import { type CommandEntry, commands, findCommand } from './commands.js'
import type { Context, ExitStatus } from './context.js'
import { sayFailure } from './output/sayFailure.js'

/**
 * Runs one command line and says how it ended. What it doesn't need, the parser of options first of all, is not loaded.
 *
 * @param words - the command line without node and script
 * @param outside - streams, environment and terminal
 */
export async function runCommandLine(
  words: readonly string[],
  outside: Omit<Context, 'setExit'>,
): Promise<ExitStatus> {
  const atOnce = answerAtOnce(words, outside.version)
  if (atOnce !== undefined) {
    outside.writeOut(atOnce)
    return 0
  }
  let status: ExitStatus = 0
  const context: Context = { ...outside, setExit: (next) => (status = next) }
  try {
    const { runCommand } = await import('./runCommand.js')
    const ended = await runCommand(words, context)
    return ended === 0 ? status : ended
  } catch (error) {
    const failure = sayFailure(error, context.env)
    context.writeErr(failure.text)
    if (failure.status === 2 && words.includes('--json')) {
      const { printError } = await import('./runCommand.js')
      await printError(error, findCommand(words[0])?.name ?? null, context)
    }
    return failure.status
  }
}

/** What is asked for again and again, by people and by scripts, and needs no parser of options. */
function answerAtOnce(words: readonly string[], version: string): string | undefined {
  if (words.length > 1) return undefined
  const [word] = words
  if (word === '--version' || word === '-V') return `${version}\n`
  const isOverview = word === undefined || word === '--help' || word === '-h' || word === 'help'
  return isOverview ? sayOverview(commands, version) : undefined
}

/** What `holdwatt` alone and `holdwatt --help` print: the job in a sentence, the commands, and where to begin. */
function sayOverview(commands: readonly CommandEntry[], version: string): string {
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
