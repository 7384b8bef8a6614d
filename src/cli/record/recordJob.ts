import { cpus, hostname } from 'node:os'
import { basename, extname } from 'node:path'
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import type { Workload } from '../../physics/chip/chip.js'
import { type SysfsTree, wordIn } from '../../record/sensors/sysfsTree.js'
import type { SheetHead } from '../../record/session/formatSheet.js'
import type { OutputOptions } from '../output/outputOptions.js'

export interface RecordOptions extends OutputOptions {
  readonly every: number
  readonly before: number
  readonly after: number
  readonly for?: number
  /** `-`: lines of a logger come from standard input. */
  readonly from?: string
  /** A log that another program is writing. */
  readonly follow?: string
  readonly until?: 'settled'
  /** Name of the power column of such a log. */
  readonly power?: string
  readonly loop?: number
  readonly gap?: number
  readonly score?: RegExp
  readonly out?: string
  readonly resume?: boolean
  readonly force?: boolean
  readonly live: boolean
  readonly sysfs: string
  readonly machine?: string
  readonly chip?: string
  readonly chassis?: string
  readonly workload?: string
  readonly unit?: string
  readonly better?: 'higher' | 'lower'
  readonly ambient?: number
}

/** What is to be recorded where, as the command line says. */
export interface RecordJob {
  readonly words: readonly string[]
  readonly loop: number
  readonly gapS: number
  readonly log: string
  /** Null without a command. */
  readonly sheet: string | null
  readonly head: SheetHead
}

/**
 * Makes sense of the words and options of `log`; what goes without saying is filled in: names from what the system
 * says of itself, the time of a run as its score.
 *
 * @throws InputError `usage` when they contradict each other
 */
export function recordJob(words: readonly string[], options: RecordOptions, tree: SysfsTree): RecordJob {
  const fault = contradiction(words, options)
  if (fault !== undefined) throw fault
  const log = options.out ?? `power-${stampOf(new Date())}.csv`
  const workload = workloadOf(words, options)
  const guess = isStream(options) ? guessByLog(log) : guessBySystem(tree)
  const machine = options.machine ?? guess.machine
  const head = {
    machine: nameText(machine, 'this machine'),
    chip: nameText(options.chip ?? guess.chip, 'its processor'),
    chassis: nameText(
      options.chassis ?? (options.machine === undefined ? guess.chassis : machine),
      'this chassis',
    ),
    ambientC: options.ambient ?? null,
    workload,
  }
  const sheet = words.length === 0 && !isStream(options) ? null : `${withoutExtension(log)}.yaml`
  return { words, loop: options.loop ?? 1, gapS: options.gap ?? 0, log, sheet, head }
}

interface GuessedNames {
  readonly machine: string
  readonly chip: string
  readonly chassis: string
}

function guessBySystem(tree: SysfsTree): GuessedNames {
  const machine = wordIn(tree, 'class/dmi/id/product_name') ?? hostname()
  return { machine, chip: cpus()[0]?.model ?? '', chassis: machine }
}

/** Another logger's lines may be of any machine: it is named after its log, so that two of them are not fitted together as one. */
function guessByLog(log: string): GuessedNames {
  const name = withoutExtension(basename(log))
  return { machine: name, chip: `chip of ${name}`, chassis: `chassis of ${name}` }
}

/** Whether another logger's lines are taken, rather than counters read. */
export function isStream({ from, follow }: RecordOptions): boolean {
  return from !== undefined || follow !== undefined
}

function streamContradiction(words: readonly string[], options: RecordOptions): InputError | undefined {
  const { from, follow } = options
  if (from !== undefined && follow !== undefined)
    return usage('expected either --from - or --follow FILE, got both')
  if (from !== undefined && from !== '-')
    return usage('expected --from - for standard input; for a file use --follow FILE')
  if (words.length > 0) return usage('a logger’s lines are logged without a command after --')
  const counters = (['loop', 'gap', 'score', 'resume', 'for'] as const).find(
    (name) => options[name] !== undefined,
  )
  return counters === undefined ? undefined : usage(`--${counters} is for the machine’s own counters`)
}

// Faster than this, most counters have not been updated yet; slower, and one may wrap around unseen.
const FASTEST_S = 0.05
const SLOWEST_S = 60

function contradiction(words: readonly string[], options: RecordOptions): InputError | undefined {
  if (isStream(options)) return streamContradiction(words, options)
  const { every, score, better, until, power } = options
  if (power !== undefined) return usage('--power needs --from - or --follow FILE')
  if (until !== undefined && options.loop === undefined) {
    return usage('--until settled needs --loop COUNT, the most runs that there may be')
  }
  if (every < FASTEST_S || every > SLOWEST_S) {
    const message = `expected ${FASTEST_S} s to ${SLOWEST_S} s between samples, got ${every} s`
    const why =
      every < FASTEST_S ? 'counters are not renewed any faster' : 'a counter may wrap around unseen meanwhile'
    return new InputError(every < FASTEST_S ? 'interval-too-short' : 'interval-too-long', message, {
      remedy: why,
    })
  }
  if (words.length === 0 && options.for === undefined) {
    return usage('expected a command after --, or --for TIME to record without one')
  }
  if (words.length > 0 && options.for !== undefined) {
    return usage('--for records without a command; a command is recorded until it ends, or with --loop COUNT')
  }
  const alone = (['loop', 'gap', 'score', 'better', 'unit', 'workload'] as const).find(
    (name) => options[name] !== undefined,
  )
  if (words.length === 0 && alone !== undefined) return usage(`--${alone} needs a command after --`)
  if (options.gap !== undefined && options.loop === undefined) return usage('--gap needs --loop COUNT')
  if (options.resume === true && options.out === undefined) {
    return usage('--resume needs the name of the log that it goes on with: --out FILE')
  }
  if (options.resume === true && options.force === true) {
    return usage('--resume goes on with a log, --force begins it anew: give one of them')
  }
  if (score === undefined && (better === 'higher' || (options.unit !== undefined && options.unit !== 's'))) {
    return usage('without --score REGEX the score is the time of each run, in s and better lower')
  }
  return undefined
}

function usage(message: string): InputError {
  return new InputError('usage', message, { remedy: 'holdwatt log --help has examples' })
}

function workloadOf(words: readonly string[], options: RecordOptions): Workload {
  const { workload, score, unit, better } = options
  if (isStream(options)) {
    return {
      name: nameText(workload ?? '', 'workload'),
      score: nameText(unit ?? '', 'points'),
      better: better ?? 'higher',
    }
  }
  const command = [basename(words[0] ?? ''), ...words.slice(1)].join(' ')
  return {
    name: nameText(workload ?? command, 'workload'),
    score: nameText(unit ?? (score === undefined ? 's' : 'points'), 'points'),
    better: better ?? (score === undefined ? 'lower' : 'higher'),
  }
}

/** What a sheet takes for a name. */
function nameText(text: string, otherwise: string): string {
  const plain = plainText(text, 200)
  return plain === '' ? otherwise : plain
}

function withoutExtension(path: string): string {
  const extension = extname(path)
  return extension === '' || /^\.ya?ml$/i.test(extension) ? path : path.slice(0, -extension.length)
}

/** `20260926-200338`, local time. */
function stampOf(date: Date): string {
  const two = (value: number) => String(value).padStart(2, '0')
  const day = `${date.getFullYear()}${two(date.getMonth() + 1)}${two(date.getDate())}`
  return `${day}-${two(date.getHours())}${two(date.getMinutes())}${two(date.getSeconds())}`
}
