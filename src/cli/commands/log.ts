import { Command, InvalidArgumentError, Option } from 'commander'
import { readSysfs } from '../../record/sensors/readSysfs.js'
import type { Context } from '../context.js'
import { quantityOption } from '../options/quantityOption.js'
import { addOutputOptions } from '../output/outputOptions.js'
import { isStream, type RecordOptions, recordJob } from '../record/recordJob.js'
import { runRecording } from '../record/runRecording.js'
import { runStream } from '../record/runStream.js'

/** `holdwatt log -- COMMAND …`: log the machine's own energy counters while a command runs. */
export function logCommand(context: Context): Command {
  const command = new Command('log')
    .summary('log the machine’s own energy counters while a command runs')
    .usage('[options] -- COMMAND …')
    .description(
      'Samples the energy counters and powers, temperature, clock and limits that Linux offers, some time before, during and after a command, and writes a log that every other command reads, and a test sheet with its runs.',
    )
    .argument('[command...]', 'the command to run, after --')
  const idle = { zero: true }
  command
    .optionsGroup('What to record:')
    .addOption(quantityOption('--every <interval>', 'time between samples', 'time').default(1, '1 s'))
    .addOption(quantityOption('--before <time>', 'idle time to record first', 'time', idle).default(3, '3 s'))
    .addOption(quantityOption('--after <time>', 'and after the last run', 'time', idle).default(3, '3 s'))
    .addOption(new Option('--loop <count>', 'runs of the command (default: one)').argParser(parseCount))
    .addOption(quantityOption('--gap <time>', 'pause between runs (default: none)', 'time', idle))
    .addOption(quantityOption('--for <time>', 'record so long without a command', 'time'))
    .addOption(new Option('--score <regex>', SCORE_HELP).argParser(parsePattern))
  command
    .optionsGroup('Another logger’s lines, in any form that a log may have:')
    .option('--from <->', 'take them from standard input')
    .option('--follow <file>', 'take them from a file that it is writing')
    .option('--power <column>', 'the power column, where there are several, or a formula')
  command
    .optionsGroup('When to end:')
    .addOption(
      new Option('--until <state>', 'end when the sustained power is known to a per cent').choices([
        'settled',
      ]),
    )
  command
    .optionsGroup('Where to:')
    .option('--out <file>', 'the log (default: power-DATE-TIME.csv here); the sheet is FILE.yaml beside it')
    .option('--resume', 'go on with a log that was cut')
    .option('--force', 'replace the log if it exists')
    .option('--no-live', 'no live plot; the command gets the terminal to itself')
    .option('--sysfs <folder>', 'root of the system’s tree of counters', '/sys')
  command
    .optionsGroup('What the sheet says (else what the system says of itself):')
    .option('--machine <name>', 'name of the machine')
    .option('--chip <name>', 'of its chip')
    .option('--chassis <name>', 'of its chassis')
    .option('--workload <name>', 'of the workload (default: the command)')
    .option('--unit <word>', 'unit of the score (default: points; s for a time)')
    .addOption(new Option('--better <way>', 'which scores are better').choices(['higher', 'lower']))
    .addOption(quantityOption('--ambient <temperature>', 'temperature of the room', 'temperature'))
  command
    .optionsGroup('Output:')
    .addHelpText('after', EXAMPLES)
    .action((words: string[], options: RecordOptions) => {
      const tree = readSysfs(options.sysfs)
      if (isStream(options)) return runStream(recordJob(words, options, tree), options, context)
      return runRecording(recordJob(words, options, tree), options, { tree, context })
    })
  return addOutputOptions(command)
}

const SCORE_HELP =
  'the score in the command’s output: first group of this, last line that fits (default: the time of each run)'

const EXAMPLES = `
Examples:
  holdwatt log --out run.csv -- ./render --scene tiles
  holdwatt log --every 500ms --loop 20 --gap 5s --score "Score: ([0-9.]+)" --out heron.csv -- ./render
  holdwatt log --for 30min --out whatever-runs.csv
  LOGGER | holdwatt log --from - --until settled --out heron.csv
  holdwatt log --follow its-log.csv --out heron.csv

After a power cut or Ctrl-C the same line with --resume goes on where it stopped. Each row is written and pushed to the
disk at once: a cut loses at most the last sample. Ctrl-C ends the command and keeps everything; a second one kills a
command that does not end. Exit status is 0 once the log is written, whatever the command's own was: that is
reported. Counters may be closed to users: the error says which, why, and what helps.`

function parseCount(text: string): number {
  const count = Number(text)
  if (!Number.isInteger(count) || count < 1 || count > 1000) {
    throw new InvalidArgumentError('Expected a whole number of runs from 1 to 1000.')
  }
  return count
}

function parsePattern(text: string): RegExp {
  const pattern = patternOf(text)
  // Any text fits this one, so that its groups can be counted.
  if (new RegExp(`${text}|`).exec('')!.length < 2) {
    throw new InvalidArgumentError('Expected a group around the number, as in "Score: ([0-9.]+)".')
  }
  return pattern
}

function patternOf(text: string): RegExp {
  try {
    return new RegExp(text)
  } catch (error) {
    throw new InvalidArgumentError(
      error instanceof Error ? `${error.message}.` : 'It is no regular expression.',
    )
  }
}
