import { execFile, spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { runCommandLine } from '../../src/cli/runCommandLine.js'

export const root = fileURLToPath(new URL('../..', import.meta.url))
export const builtMain = fileURLToPath(new URL('../../dist/cli/main.cjs', import.meta.url))

export interface Ended {
  readonly status: number
  readonly stdout: string
  readonly stderr: string
}

/** Runs the built command as a user does: a process of its own, from the project's root. */
export function runBuilt(
  words: readonly string[],
  options: { readonly cwd?: string; readonly env?: NodeJS.ProcessEnv } = {},
): Promise<Ended> {
  const env = { ...process.env, NO_COLOR: undefined, FORCE_COLOR: undefined, ...options.env }
  const settings = { cwd: options.cwd ?? root, env, maxBuffer: 1 << 26 }
  return new Promise((resolve) => {
    execFile(process.execPath, [builtMain, ...words], settings, (error, stdout, stderr) => {
      resolve({ status: error === null ? 0 : Number(error.code), stdout, stderr })
    })
  })
}

/** Runs the built command and closes its output after the first piece, as `| head -1` does. */
export function runBuiltClosingEarly(words: readonly string[]): Promise<Ended> {
  const child = spawn(process.execPath, [builtMain, ...words], { cwd: root })
  let stderr = ''
  child.stderr.on('data', (data) => {
    stderr += String(data)
  })
  child.stdout.destroy()
  return new Promise((resolve) => {
    child.on('close', (code) => resolve({ status: code ?? -1, stdout: '', stderr }))
  })
}

interface Outside {
  readonly env?: NodeJS.ProcessEnv
  readonly terminal?: boolean
  readonly columns?: number
  readonly ask?: (question: string) => Promise<string>
}

/** Runs a command line from a folder as `runInside`; one at a time, since the whole process goes there and back. */
export async function runInsideAt(cwd: string, words: readonly string[]): Promise<Ended> {
  const before = process.cwd()
  process.chdir(cwd)
  try {
    return await runInside(words)
  } finally {
    process.chdir(before)
  }
}

/** Runs a command line inside the test's process, which is faster; the command's code is the same. */
export async function runInside(words: readonly string[], outside: Outside = {}): Promise<Ended> {
  let [stdout, stderr] = ['', '']
  const status = await runCommandLine(words, {
    version: '0.0.0-test',
    env: outside.env ?? {},
    stdoutIsTerminal: outside.terminal === true,
    stderrIsTerminal: false,
    columns: outside.columns,
    ...(outside.ask === undefined ? {} : { ask: outside.ask }),
    writeOut: (text) => {
      stdout += text
    },
    writeErr: (text) => {
      stderr += text
    },
  })
  return { status, stdout, stderr }
}
