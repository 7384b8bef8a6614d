import { spawn } from 'node:child_process'
import { InputError } from '../errors.js'

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

/**
 * Starts a command with the terminal as its own. Its output goes where ours goes, or to stderr when ours must hold
 * nothing but a document.
 *
 * @throws (through `end`) InputError `command-not-started`
 */
export function runChild(words: readonly string[], outputToStderr: boolean): Child {
  const [command, ...rest] = words as [string, ...string[]]
  const child = spawn(command, rest, { stdio: ['inherit', outputToStderr ? 2 : 'inherit', 'inherit'] })
  const end = new Promise<ChildEnd>((resolve, reject) => {
    child.once('error', (error) => reject(notStarted(command, error)))
    child.once('close', (status, signal) => resolve({ status, signal }))
  })
  return { end, kill: (signal) => void child.kill(signal) }
}

function notStarted(command: string, error: Error): InputError {
  const code = 'code' in error ? String(error.code) : error.message
  const why = code === 'ENOENT' ? 'no such command' : code === 'EACCES' ? 'it may not be executed' : code
  return new InputError('command-not-started', `could not start "${command.slice(0, 200)}": ${why}`, {
    remedy: 'check the command after --; for a line of shell use -- sh -c "…"',
  })
}
