import type { SysfsTree } from '../sensors/sysfsTree.js'
import type { RecordedRun } from './recordedRun.js'

/** The clocks and the streams that a recording uses. */
export interface RecordingWorld {
  readonly tree: SysfsTree
  /** Seconds on a clock that never jumps and stands still while the machine sleeps. */
  readonly now: () => number
  /** Seconds on a clock that never jumps and goes on while the machine sleeps. */
  readonly bootS: () => number
  /** Milliseconds since 1970 UTC. */
  readonly epochMs: () => number
  /** Waits this many seconds; `cut` ends the wait. */
  readonly wait: (seconds: number, cut: AbortSignal) => Promise<void>
  readonly writeLine: (line: string) => void
  /** Told of each sample and each run, for a live screen and a sheet. */
  readonly onSample?: (sample: LiveSample) => void
  readonly onRun?: (run: RecordedRun) => Promise<void>
}

/** A sample as a live screen shows it. */
export interface LiveSample {
  readonly elapsedS: number
  readonly phase: string
  /** Power of the packages since the last sample, W; undefined where it is not known. */
  readonly powerW: number | undefined
  readonly temperatureC: number | undefined
  readonly clockHz: number | undefined
}
