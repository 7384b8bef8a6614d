#!/usr/bin/env node
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import type { ExitStatus } from './context.js'
import { delayOptimising } from './delayOptimising.js'
import { readVersion } from './readVersion.js'
import { runCommandLine } from './runCommandLine.js'

// The one place that touches the process: everything below gets what it needs passed in.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    // A reader that has seen enough (`| head`) closes the pipe: that is no fault of anyone.
    if (error.code === 'EPIPE') process.exit(process.exitCode)
    const reason = error.code === 'ENOSPC' ? 'the disk is full' : String(error.code)
    if (stream === process.stdout) process.stderr.write(`holdwatt: the output cannot be written: ${reason}\n`)
    process.exit(2 satisfies ExitStatus)
  })
}
process.exitCode = 0 satisfies ExitStatus
const words = process.argv.slice(2)
// A single word is answered at once.
if (words.length > 1) delayOptimising(process.version)
const run = runCommandLine(words, {
  version: readVersion(import.meta.url),
  env: process.env,
  stdoutIsTerminal: process.stdout.isTTY === true,
  stderrIsTerminal: process.stderr.isTTY === true,
  columns: process.stdout.columns,
  rows: process.stderr.rows,
  writeOut: (text) => process.stdout.write(text),
  writeErr: (text) => process.stderr.write(text),
  outDrained: async () => {
    if (process.stdout.writableNeedDrain) await once(process.stdout, 'drain')
  },
  readIn: () => process.stdin,
  stdoutFd: process.stdout.fd,
  workerFile: fileURLToPath(new URL('./fleet/answerTasks.cjs', import.meta.url)),
})
// Without `await`, which only an ES module could have here; see bundle.config.mjs.
void run.then((status) => {
  process.exitCode = status
})
