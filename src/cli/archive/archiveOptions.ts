import { availableParallelism } from 'node:os'
import { type Command, InvalidArgumentError, Option } from 'commander'

/** How many files are given and answered. */
export interface ArchiveOptions {
  readonly fromList?: string
  readonly jobs?: number
  readonly jsonLines?: boolean
  readonly resumeFrom?: string
}

/** Adds the options of a command that takes many files; one whose answer is a whole can't go on with a part of it. */
export function addArchiveOptions(command: Command, { resumes } = { resumes: true }): Command {
  const [files] = command.registeredArguments
  command
    .usage(`[options] <${files!.name()}...>`)
    .addOption(
      new Option('--from-list <file>', 'read the paths from a file, one a line; - is standard input'),
    )
    .addOption(
      new Option('--jobs <n>', 'files worked on at once (default: one a processor)').argParser(parseJobs),
    )
    .addOption(
      new Option('--json-lines', resumes ? LINE_EACH : 'the JSON document on one line').conflicts('json'),
    )
  if (resumes) {
    command.option('--resume-from <out.jsonl>', 'with --json-lines: leave out what an earlier run has done')
  }
  return command.addHelpText('after', resumes ? MANY_FILES + LISTS : MANY_FILES)
}

const LINE_EACH = 'print one JSON document a line for each file, as it is done, in input order'

const MANY_FILES = `
Many files: a folder stands for the logs (.csv .tsv .txt .log) or test sheets
(.yaml .yml) in it and below, sorted. A bad file is reported and the rest go on;
the exit status is then 2.`
const LISTS = ' Of a list, one line in is one line out.'

/** Ends a command line that names nothing, as commander does where it can tell by itself. */
export function requireFiles(command: Command, words: readonly string[], options: ArchiveOptions): void {
  if (words.length > 0 || options.fromList !== undefined) return
  const name = command.registeredArguments[0]!.name()
  command.error(`error: missing required argument '${name}', or --from-list`, { exitCode: 2 })
}

/** Jobs as asked for, else one a processor; never more than there are tasks. */
export function chooseJobs(options: ArchiveOptions, tasks: number | undefined): number {
  return Math.min(options.jobs ?? availableParallelism(), Math.max(1, tasks ?? Number.POSITIVE_INFINITY))
}

function parseJobs(text: string): number {
  const jobs = Number(text)
  if (!Number.isInteger(jobs) || jobs < 1 || jobs > 256) {
    throw new InvalidArgumentError('Expected a whole number of jobs from 1 to 256.')
  }
  return jobs
}
