import { spawn } from 'node:child_process'
import { InputError } from '../../errors.js'

/** How a command ended: a status, or the signal that ended it. */
export interface ChildEnd {
  readonly status: number | null
  readonly signal: string | null
}

/** A command that is running. */
export interface Child {
  readonly end: Promise<ChildEnd>
  readonly kill: (signal: NodeJS.Signals) => void
}

/** Where the output of a command goes: where ours goes; to stderr, when ours must hold nothing but a document; or through us. */
export type ChildOutput =
  | 'inherit'
  | 'stderr'
  | { readonly onOutput: (bytes: Uint8Array, stream: 'out' | 'err') => void }

/**
 * Starts a command with the terminal's input as its own.
 *
 * @throws (through `end`) InputError `command-not-started`
 */
export function runChild(words: readonly string[], output: ChildOutput): Child {
  const [command, ...rest] = words as [string, ...string[]]
  const piped = typeof output === 'object'
  const [stdout, stderr] = piped ? ['pipe' as const, 'pipe' as const] : [output === 'stderr' ? 2 : 1, 2]
  const child = spawn(command, rest, { stdio: ['inherit', stdout, stderr] })
  if (piped) {
    child.stdout?.on('data', (bytes: Buffer) => output.onOutput(bytes, 'out'))
    child.stderr?.on('data', (bytes: Buffer) => output.onOutput(bytes, 'err'))
  }
  const end = new Promise<ChildEnd>((resolve, reject) => {
    child.once('error', (error) => reject(notStarted(command, error)))
    child.once('close', (status, signal) => resolve({ status, signal }))
    // What it left running in the background may hold its output open for ever.
    child.once('exit', (status, signal) => setTimeout(() => resolve({ status, signal }), DRAIN_MS).unref())
  })
  return { end, kill: (signal) => void child.kill(signal) }
}

/** Time for the last output of a command that has ended to come through. */
const DRAIN_MS = 300

function notStarted(command: string, error: Error): InputError {
  const code = 'code' in error ? String(error.code) : error.message
  const why = code === 'ENOENT' ? 'no such command' : code === 'EACCES' ? 'it may not be executed' : code
  return new InputError('command-not-started', `could not start "${command.slice(0, 200)}": ${why}`, {
    remedy: 'check the command after --; for a line of shell use -- sh -c "…"',
  })
}
