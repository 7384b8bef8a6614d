#!/usr/bin/env node
import type { ExitStatus } from './context.js'
import { readVersion } from './readVersion.js'
import { runCommandLine } from './runCommandLine.js'

// The one place that touches the process: everything below gets what it needs passed in.
for (const stream of [process.stdout, process.stderr]) {
  // A reader that has seen enough (`| head`) closes the pipe: that is no fault of anyone.
  stream.on('error', (error: NodeJS.ErrnoException) =>
    process.exit(error.code === 'EPIPE' ? process.exitCode : 1),
  )
}
process.exitCode = 0 satisfies ExitStatus
process.exitCode = await runCommandLine(process.argv.slice(2), {
  version: readVersion(import.meta.url),
  env: process.env,
  stdoutIsTerminal: process.stdout.isTTY === true,
  stderrIsTerminal: process.stderr.isTTY === true,
  columns: process.stdout.columns,
  writeOut: (text) => process.stdout.write(text),
  writeErr: (text) => process.stderr.write(text),
})
