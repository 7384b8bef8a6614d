import { spawnSync } from 'node:child_process'

/** What a peer in another language says of one task. */
export interface PeerAnswer {
  /** Processor time of single calls, milliseconds. */
  readonly samplesMs: readonly number[]
  /** What it found, to compare. */
  readonly found: readonly number[]
}

/**
 * Runs a script of `tests/bench/peers` in its own language. It reads one line of numbers for each array and writes one line
 * for each way of doing the task: name | milliseconds | numbers found. No answers where the language or the package is not
 * installed.
 */
export function outsidePeer(
  script: string,
  arrays: readonly ArrayLike<number>[],
): ReadonlyMap<string, PeerAnswer> {
  const path = `tests/bench/peers/${script}`
  const input = arrays.map((array) => `${Array.from(array).join(' ')}\n`).join('')
  // Debian's own interpreters come first, as its packages are there.
  const commands = script.endsWith('.R')
    ? [['/usr/bin/Rscript', '--vanilla', path]]
    : [
        ['/usr/bin/python3', path],
        ['python3', path],
      ]
  const run = commands.map((words) => runPeer(words, input)).find(({ status }) => status === 0)
  if (run === undefined) return new Map()
  const numbers = (text: string): readonly number[] => text.trim().split(/\s+/).map(Number)
  return new Map(
    run.stdout
      .trim()
      .split('\n')
      .map((line) => {
        const [name, times, found] = line.split('|')
        return [name!.trim(), { samplesMs: numbers(times!), found: numbers(found!) }]
      }),
  )
}

function runPeer([command, ...args]: readonly string[], input: string) {
  // One thread, as ours has.
  const env = { ...process.env, OPENBLAS_NUM_THREADS: '1', OMP_NUM_THREADS: '1' }
  return spawnSync(command!, args, { input, encoding: 'utf8', maxBuffer: 1 << 28, env })
}
