import { Command, CommanderError } from 'commander'
import { type CommandEntry, commands, findCommand } from './commands.js'
import type { Context, ExitStatus } from './context.js'
import { plainLines } from './output/withoutControls.js'

/**
 * Runs the command that the words name, with its options; see `runCommandLine`. Only the module of that command is loaded.
 *
 * @throws InputError and whatever else the command fails with
 */
export async function runCommand(words: readonly string[], context: Context): Promise<ExitStatus> {
  const program = programSkeleton(context)
  // `holdwatt help stages` is `holdwatt stages --help`.
  const at = words[0] === 'help' ? 1 : 0
  const asked = findCommand(words[at])
  if (asked === undefined) for (const entry of commands) program.addCommand(placeholder(entry))
  else program.addCommand(dressed(await asked.load(context), context))
  try {
    await program.parseAsync(asked === undefined ? words : words.with(at, asked.name), { from: 'user' })
    return 0
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error
    if (error.exitCode === 0) return 0
    if (words.includes('--json')) await printError(error, asked?.name ?? null, context)
    return 2
  }
}

/** Who reads JSON gets a document whatever comes. */
export async function printError(error: unknown, command: string | null, context: Context): Promise<void> {
  const { errorDocument } = await import('./output/errorDocument.js')
  const { jsonText } = await import('./output/answerDocument.js')
  const document = errorDocument(error, { command, version: context.version })
  context.writeOut(`${jsonText(document)}\n`)
}

function programSkeleton(context: Context): Command {
  const program = new Command('holdwatt')
    .usage('COMMAND …')
    .description('What a processor scores, by the watts its chassis lets it hold.')
    .version(context.version, '-V, --version', 'print the version')
    .helpCommand('help [command]', 'show the help of a command')
  return dressed(program, context)
}

function dressed(command: Command, context: Context): Command {
  return command
    .exitOverride()
    .configureOutput({
      writeOut: (text) => context.writeOut(text),
      // The parser's messages quote what was typed.
      writeErr: (text) => context.writeErr(plainLines(text)),
      getOutHelpWidth: () => Math.min(100, context.columns ?? 80),
      getErrHelpWidth: () => 80,
    })
    .showHelpAfterError(
      `(holdwatt ${command.name() === 'holdwatt' ? '' : `${command.name()} `}--help shows what is known)`,
    )
    .showSuggestionAfterError()
}

/** Stands for a command that was not asked for, for suggesting what was meant. */
function placeholder(entry: CommandEntry): Command {
  return new Command(entry.name).summary(entry.summary).usage(entry.usage)
}
