import { setTimeout as delay } from 'node:timers/promises'
import { Command } from 'commander'
import { InputError } from '../errors.js'
import { plainText } from '../log/plainText.js'
import { readLog } from '../log/readLog.js'
import { findSensors, type Sensors } from '../record/findSensors.js'
import { readSysfs } from '../record/readSysfs.js'
import { type Recording, type RecordingWorld, recordLog } from '../record/recordLog.js'
import { writeRecording } from '../record/writeRecording.js'
import { sayRecording } from '../show/sayRecording.js'
import type { Warning } from '../warnings.js'
import type { Context } from './context.js'
import { addOutputOptions, type OutputOptions } from './outputOptions.js'
import { printAnswer } from './printAnswer.js'
import { quantityOption } from './quantityOption.js'
import { type Child, type ChildEnd, runChild } from './runChild.js'

interface RecordOptions extends OutputOptions {
  readonly every: number
  readonly before: number
  readonly after: number
  readonly out?: string
  readonly sysfs: string
  readonly force?: boolean
}

/** `holdwatt record -- COMMAND …`: log the machine's own energy counters while a command runs. */
export function recordCommand(context: Context): Command {
  const command = new Command('record')
    .summary('log the machine’s own energy counters while a command runs')
    .usage('[options] -- COMMAND …')
    .description(
      'Samples the energy counters, the processor’s temperature and clock that Linux offers, some time before, during and after a command, and writes a log that every other command reads.',
    )
    .argument('<command...>', 'the command to run, after --')
    .addOption(quantityOption('--every <interval>', 'time between samples', 'time').default(1, '1 s'))
    .addOption(
      quantityOption('--before <time>', 'idle time to record first', 'time', { zero: true }).default(
        3,
        '3 s',
      ),
    )
    .addOption(
      quantityOption('--after <time>', 'time to record afterwards', 'time', { zero: true }).default(3, '3 s'),
    )
    .option('--out <file>', 'name of the log (default: power-DATE-TIME.csv here)')
    .option('--force', 'replace the log if it exists')
    .option('--sysfs <folder>', 'root of the system’s tree of counters', '/sys')
    .addHelpText('after', EXAMPLES)
    .action((words: string[], options: RecordOptions) => record(words, options, context))
  return addOutputOptions(command)
}

const EXAMPLES = `
Examples:
  holdwatt record -- ./render --scene tiles
  holdwatt record --every 500ms --before 1min --after 1min --out loop.csv -- sh -c "while ./render; do sleep 5; done"
  holdwatt record --out loop.csv -- sleep 30min     whatever else runs meanwhile

The command's own exit status is reported; holdwatt's is 0 once the log is written. An interrupt (Ctrl-C) ends the
command and keeps the log. The counters are often readable by root only: the error says what to do.`

// Faster than this, most counters have not been updated yet, and sampling itself would load the machine.
const FASTEST_S = 0.05

async function record(words: readonly string[], options: RecordOptions, context: Context): Promise<void> {
  if (options.every < FASTEST_S) {
    throw new InputError(
      'interval-too-short',
      `needed at least ${FASTEST_S} s between samples, got ${options.every} s`,
    )
  }
  const tree = readSysfs(options.sysfs)
  const sensors = findSensors(tree)
  const path = options.out ?? `power-${stampOf(new Date())}.csv`
  const file = writeRecording(path, options.force === true)
  const session = startSession(words, options.json === true)
  let recording: Recording
  try {
    const world: RecordingWorld = { tree, now, epochMs: Date.now, wait, writeLine: file.writeLine }
    recording = await recordLog(planOf(words, options, { sensors, session, context }), world)
    if (session.end() === undefined) throw interrupted()
  } catch (error) {
    file.discard()
    throw error
  } finally {
    session.close()
  }
  file.keep()
  const log = await readLog(path)
  const end = session.end()!
  const view = { path, ...recording, log }
  const document = () => ({
    log: { path, ...recording, columns: log.columns },
    child: { command: words, status: end.status, signal: end.signal },
  })
  printAnswer(
    { command: 'record', warnings: warningsOf(sensors, recording, end), document, view, say: sayRecording },
    options,
    context,
  )
}

interface PlanParts {
  readonly sensors: Sensors
  readonly session: Session
  readonly context: Context
}

function planOf(words: readonly string[], options: RecordOptions, { sensors, session, context }: PlanParts) {
  return {
    sensors,
    everyS: options.every,
    beforeS: options.before,
    afterS: options.after,
    run: session.run,
    stop: session.stopped,
    preamble: [
      `# recorded by holdwatt ${context.version} every ${options.every} s`,
      `# command: ${plainText(words.join(' '), 200).replace(/["|;,\t]/g, ' ')}`,
    ],
  }
}

/** The command and the signals that concern it, from the start of a recording to its end. */
interface Session {
  readonly run: () => Promise<unknown>
  readonly stopped: Promise<void>
  /** How the command ended; undefined when it never ran. */
  readonly end: () => ChildEnd | undefined
  readonly close: () => void
}

function startSession(words: readonly string[], outputToStderr: boolean): Session {
  let child: Child | undefined
  let ended: ChildEnd | undefined
  let stopping = false
  let stop = (): void => {}
  const stopped = new Promise<void>((resolve) => {
    stop = resolve
  })
  const onSignal = (signal: NodeJS.Signals): void => {
    stopping = true
    stop()
    // An interrupt typed at a terminal reaches the command by itself; one sent to us alone does not.
    if (signal !== 'SIGINT' || process.stdin.isTTY !== true) child?.kill(signal)
  }
  const signals: readonly NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP']
  for (const signal of signals) process.on(signal, onSignal)
  return {
    run: async () => {
      if (stopping) return
      child = runChild(words, outputToStderr)
      ended = await child.end
    },
    stopped,
    end: () => ended,
    close: () => {
      for (const signal of signals) process.off(signal, onSignal)
    },
  }
}

function now(): number {
  return performance.now() / 1000
}

async function wait(seconds: number, cut: Promise<unknown>): Promise<void> {
  const timer = new AbortController()
  const slept = delay(Math.max(0, seconds * 1000), undefined, { signal: timer.signal }).catch(() => undefined)
  await Promise.race([slept, cut])
  timer.abort()
}

function interrupted(): InputError {
  return new InputError('interrupted', 'interrupted before the command was started; nothing was kept')
}

function warningsOf(sensors: Sensors, recording: Recording, end: ChildEnd): Warning[] {
  const warnings: Warning[] = []
  if (end.status !== 0)
    warnings.push({ code: 'record-command-failed', status: end.status, signal: end.signal })
  if (sensors.denied.length > 0)
    warnings.push({ code: 'record-counters-denied', count: sensors.denied.length })
  if (sensors.temperature === null) warnings.push({ code: 'record-temperature-missing' })
  if (sensors.clocks.length === 0) warnings.push({ code: 'record-clock-missing' })
  if (recording.incomplete > 0) {
    warnings.push({ code: 'record-incomplete', count: recording.incomplete, samples: recording.samples })
  }
  return warnings
}

/** `20260926-200338`, local time. */
function stampOf(date: Date): string {
  const two = (value: number) => String(value).padStart(2, '0')
  const day = `${date.getFullYear()}${two(date.getMonth() + 1)}${two(date.getDate())}`
  return `${day}-${two(date.getHours())}${two(date.getMinutes())}${two(date.getSeconds())}`
}
