import { Command, CommanderError } from 'commander'
import { type CommandEntry, commands } from './commands.js'
import type { Context, ExitStatus } from './context.js'
import { sayFailure } from './sayFailure.js'
import { sayOverview } from './sayOverview.js'

/**
 * Runs one command line and says how it ended. Only the module of the command that was asked for is loaded.
 *
 * @param words - the command line without node and script
 * @param outside - streams, environment and terminal
 */
export async function runCommandLine(
  words: readonly string[],
  outside: Omit<Context, 'setExit'>,
): Promise<ExitStatus> {
  let status: ExitStatus = 0
  const context: Context = { ...outside, setExit: (next) => (status = next) }
  try {
    if (words.length === 0) {
      context.writeOut(sayOverview(commands, context.version))
      return 0
    }
    const program = programSkeleton(context)
    const asked = commands.find((entry) => entry.name === firstWord(words))
    if (asked === undefined) for (const entry of commands) program.addCommand(placeholder(entry))
    else program.addCommand(dressed(await asked.load(context), context))
    await program.parseAsync(words, { from: 'user' })
    return status
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2
    const failure = sayFailure(error, context.env)
    context.writeErr(failure.text)
    return failure.status
  }
}

/** `holdwatt help stages` is `holdwatt stages --help`. */
function firstWord(words: readonly string[]): string | undefined {
  return words[0] === 'help' ? words[1] : words[0]
}

function programSkeleton(context: Context): Command {
  const program = new Command('holdwatt')
    .usage('COMMAND …')
    .description('What a processor scores, by the watts its chassis lets it hold.')
    .version(context.version, '-V, --version', 'print the version')
    .helpCommand('help [command]', 'show the help of a command')
    .addHelpText('after', '\nEach command has its own help with examples: holdwatt stages --help')
  return dressed(program, context)
}

function dressed(command: Command, context: Context): Command {
  return command
    .exitOverride()
    .configureOutput({
      writeOut: (text) => context.writeOut(text),
      writeErr: (text) => context.writeErr(text),
      getOutHelpWidth: () => Math.min(100, context.columns ?? 80),
      getErrHelpWidth: () => 80,
    })
    .showHelpAfterError(
      `(holdwatt ${command.name() === 'holdwatt' ? '' : `${command.name()} `}--help shows what is known)`,
    )
    .showSuggestionAfterError()
}

/** Stands for a command that was not asked for: its name and summary, for help and for suggesting what was meant. */
function placeholder(entry: CommandEntry): Command {
  return new Command(entry.name).summary(entry.summary).usage(entry.usage)
}
