import type { Workload } from '../../physics/chip/chip.js'
import type { RunEnd } from '../../record/session/recordedRun.js'
import { watchScore } from '../../record/session/watchScore.js'
import { type Child, type ChildOutput, runChild } from './runChild.js'

/** The runs of a command, and the signals that concern them, from the start of a recording to its end. */
export interface RecordSession {
  /** Starts a run; resolves when it has ended. */
  readonly start: (number: number) => Promise<RunEnd>
  /** Resolves when the user ends the recording. */
  readonly stopped: Promise<void>
  readonly wasStopped: () => boolean
  /** What runs printed where a score was looked for, and was none. */
  readonly unreadable: () => string | null
  /** Ends a command that still runs, and waits for its end. */
  readonly endRun: () => Promise<void>
  readonly close: () => void
}

/** What a session runs. */
export interface SessionSettings {
  readonly words: readonly string[]
  /** Null: the time of a run is its score. */
  readonly score: RegExp | null
  readonly workload: Workload
  /** Where its output goes; a function when it goes through us. */
  readonly output: ChildOutput
  readonly now: () => number
}

const SIGNALS: readonly NodeJS.Signals[] = ['SIGINT', 'SIGTERM', 'SIGHUP']

/** Begins to listen for signals. The first one asks the running command to end, the second one ends it. */
export function recordSession(settings: SessionSettings): RecordSession {
  let child: Child | undefined
  let [stopping, unreadable] = [false, null as string | null]
  let stop = (): void => {}
  const stopped = new Promise<void>((resolve) => {
    stop = resolve
  })
  const onSignal = (signal: NodeJS.Signals): void => {
    // An interrupt typed at a terminal reaches the command by itself; one sent to us alone does not.
    if (stopping) child?.kill('SIGKILL')
    else if (signal !== 'SIGINT' || process.stdin.isTTY !== true) child?.kill(signal)
    stopping = true
    stop()
  }
  for (const signal of SIGNALS) process.on(signal, onSignal)
  return {
    start: async () => {
      const { words, score, workload, output, now } = settings
      const startS = now()
      const watch = score === null ? undefined : watchScore(score, workload)
      child = runChild(words, withWatch(output, watch?.read))
      try {
        const end = await child.end
        const found = watch === undefined ? { score: Number((now() - startS).toFixed(3)) } : watch.end()
        if (found !== null && 'unreadable' in found) unreadable ??= found.unreadable
        return { ...end, score: found !== null && 'score' in found ? found.score : null }
      } finally {
        child = undefined
      }
    },
    stopped,
    wasStopped: () => stopping,
    unreadable: () => unreadable,
    endRun: async () => {
      child?.kill('SIGTERM')
      await child?.end.catch(() => undefined)
    },
    close: () => {
      for (const signal of SIGNALS) process.off(signal, onSignal)
    },
  }
}

type OnOutput = (bytes: Uint8Array, stream: 'out' | 'err') => void

function withWatch(output: ChildOutput, read: OnOutput | undefined): ChildOutput {
  if (typeof output === 'string' || read === undefined) return output
  return {
    onOutput: (bytes, stream) => {
      read(bytes, stream)
      output.onOutput(bytes, stream)
    },
  }
}
