import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { removeTemporaries, watchTemporaries } from '../files/writeTemporary.js'
import type { ExitStatus } from './context.js'
import { processContext } from './processContext.js'
import { readVersion } from './readVersion.js'
import { runCommandLine } from './runCommandLine.js'

/**
 * Does what the words of a command line ask, with this process's streams, signals and exit status.
 *
 * Here, in main.ts and in processContext.ts, the process is touched: everything below gets what it needs passed in.
 */
export function runProcess(words: readonly string[]): void {
  minds(process.stdout)
  minds(process.stderr)
  watchTemporaries(removeOnSignals)
  process.exitCode = 0 satisfies ExitStatus
  const run = runCommandLine(words, {
    ...processContext(readVersion(import.meta.url)),
    outDrained: async () => {
      if (process.stdout.writableNeedDrain) await once(process.stdout, 'drain')
    },
    outliveOutput: () => {
      outlivesOutput = true
      return () => {
        outlivesOutput = false
      }
    },
    readIn: () => process.stdin,
    // In this order: to open standard input takes 4 ms, and scripts mostly keep what goes to stderr.
    ...(process.stderr.isTTY && process.stdin.isTTY ? { ask } : {}),
    stdoutFd: process.stdout.fd,
    workerFile: fileURLToPath(new URL('./archive/workers/answerTasks.cjs', import.meta.url)),
  })
  void run.then((status) => {
    process.exitCode = status
  })
}

/** Whether a reader of ours that has gone, or a full disk under our output, is no reason to end. */
let outlivesOutput = false

/** Ends the process when one of its outputs does, unless it is told to outlive that. */
function minds(stream: NodeJS.WriteStream): void {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (outlivesOutput) return
    // A reader that has seen enough (`| head`) closes the pipe: that is no fault of anyone.
    if (error.code === 'EPIPE') process.exit(process.exitCode)
    const reason = error.code === 'ENOSPC' ? 'the disk is full' : String(error.code)
    if (stream === process.stdout) process.stderr.write(`holdwatt: the output cannot be written: ${reason}\n`)
    process.exit(2 satisfies ExitStatus)
  })
}

/** What ends a process by its own wish; on Windows the first alone comes from a terminal. */
const SIGNALS: readonly NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP']

/** Removes files that are half written before a signal ends the process; gives what ends this. */
function removeOnSignals(): () => void {
  const onSignal = (signal: NodeJS.Signals): void => {
    // A recording that listens too ends in its own time, and what it writes with it.
    if (process.listenerCount(signal) > 1) return
    removeTemporaries()
    process.off(signal, onSignal)
    process.kill(process.pid, signal)
  }
  for (const signal of SIGNALS) process.on(signal, onSignal)
  return () => {
    for (const signal of SIGNALS) process.off(signal, onSignal)
  }
}

/** Asks on stderr, so that the answer on stdout stays alone. */
async function ask(question: string): Promise<string> {
  const { createInterface } = await import('node:readline/promises')
  const terminal = createInterface({ input: process.stdin, output: process.stderr })
  try {
    return await terminal.question(question)
  } finally {
    terminal.close()
  }
}
