#!/usr/bin/env node
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { setFlagsFromString } from 'node:v8'
import { removeTemporaries, watchTemporaries } from '../files/writeTemporary.js'
import type { ExitStatus } from './context.js'
import { processContext } from './processContext.js'
import { readVersion } from './readVersion.js'
import { runCommandLine } from './runCommandLine.js'

/** Weight of the bytecode that runs between two looks at whether a function is hot; 132 KB is what the engine takes. */
const BUDGET = 528 * 1024
/** Bytes of the bytecode that one function may take in of those that it calls; 920 is what the engine takes. */
const INLINED = 300
/** Commands that read logs and fit no curve. */
const READERS: readonly string[] = ['log', 'record', 'draft', 'check', 'stages']

/** What ends a process by its own wish; on Windows the first alone comes from a terminal. */
const SIGNALS: readonly NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP']

/** Whether a reader of ours that has gone, or a full disk under our output, is no reason to end. */
let outlivesOutput = false

// Here, and in processContext.ts, the process is touched: everything below gets what it needs passed in.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (outlivesOutput) return
    // A reader that has seen enough (`| head`) closes the pipe: that is no fault of anyone.
    if (error.code === 'EPIPE') process.exit(process.exitCode)
    const reason = error.code === 'ENOSPC' ? 'the disk is full' : String(error.code)
    if (stream === process.stdout) process.stderr.write(`holdwatt: the output cannot be written: ${reason}\n`)
    process.exit(2 satisfies ExitStatus)
  })
}
watchTemporaries(() => {
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
})
process.exitCode = 0 satisfies ExitStatus
const words = process.argv.slice(2)
// A single word is answered at once.
if (words.length > 1) delayOptimising(process.version, words[0]!)
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
// Without `await`, which only an ES module could have here; see bundle.config.mjs.
void run.then((status) => {
  process.exitCode = status
})

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

/**
 * Lets a function run four times as long as node 20 does by itself before it is compiled to fast code. Of a run that lasts less than a
 * second, compiling is a large part, and much of what is compiled is soon done with: every command takes 5 to 30 % less so, on one
 * core and on two, and a log of a million rows no longer. A function that takes in fewer of those that it calls compiles sooner, too: commands that
 * fit curves take 6 to 9 % less so, but a long log is read more slowly, so that those that read only are left as they are.
 * Loops are compiled as they stand, without a copy of their first round, which takes a fifth of the compiler's time: commands that fit curves take 5 % less so, `stages` 4 %,
 * a log of 400,000 rows as long. Short-lived values are swept up by the thread that made them: another thread's help is waited for where cores are busy.
 *
 * Only on the version of node on which that was measured; others may count differently.
 */
function delayOptimising(nodeVersion: string, command: string): void {
  if (!nodeVersion.startsWith('v20.')) return
  setFlagsFromString(`--interrupt-budget=${BUDGET}`)
  setFlagsFromString('--no-turbo-loop-peeling')
  setFlagsFromString('--no-parallel-scavenge')
  if (!READERS.includes(command)) setFlagsFromString(`--max-inlined-bytecode-size-cumulative=${INLINED}`)
}
