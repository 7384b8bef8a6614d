import type { Context } from './context.js'

/** What a command sees of this process as it stands: its environment, its terminal, and where it writes. */
export function processContext(version: string): Omit<Context, 'setExit'> {
  return {
    version,
    env: process.env,
    stdoutIsTerminal: process.stdout.isTTY === true,
    stderrIsTerminal: process.stderr.isTTY === true,
    columns: process.stdout.columns,
    rows: process.stderr.rows,
    writeOut: (text) => process.stdout.write(text),
    writeErr: (text) => process.stderr.write(text),
  }
}
