import type { Trace } from '../../log/trace.js'
import { judgeStage, type PresentStage } from '../../record/session/judgeStage.js'
import type { PowerTrail } from '../../record/session/powerTrail.js'
import type { LiveSample } from '../../record/session/recordingWorld.js'
import { plotLive, sayPhase } from '../../show/terminal/plotLive.js'
import type { Style } from '../../show/terminal/style.js'
import { withoutControls } from '../output/withoutControls.js'

/** A part of the terminal that is drawn anew below whatever the command prints. */
export interface LiveScreen {
  readonly onSample: (sample: LiveSample) => void
  /** Prints what the command prints, above. */
  readonly print: (bytes: Uint8Array, stream: 'out' | 'err', write: (text: string) => void) => void
  readonly close: () => void
}

/** What a live screen shows and what it may use. */
export interface LiveSettings {
  readonly path: string
  readonly runs: number
  readonly trail: PowerTrail
  readonly style: Style
  readonly writeErr: (text: string) => void
  /** Processor time that this process has used, s. */
  readonly cpuS: () => number
  readonly now: () => number
}

/**
 * Keeps a plot of the power and its present stage below the output of the command. Drawing and judging are paced by
 * what they cost, so that the screen takes a fixed small share of one core however long the recording is.
 */
export function liveScreen(settings: LiveSettings): LiveScreen {
  const { path, runs, trail, style, writeErr } = settings
  const judge = pacer(settings, JUDGE_SHARE)
  const draw = pacer(settings, DRAW_SHARE)
  let lines: readonly string[] = []
  let shown = 0
  const pending = { out: pendingLine(), err: pendingLine() }
  let stage: PresentStage | undefined
  let phase = { name: '', sinceS: 0 }
  const erase = () => {
    if (shown > 0) writeErr(`\r\u001b[${shown}A\u001b[J`)
    shown = 0
  }
  const redraw = () => {
    // A line that is too long for a terminal made narrower is cut there: wrapped, it could not be erased.
    writeErr(`\u001b[?7l${lines.map((line) => `${line}\n`).join('')}\u001b[?7h`)
    shown = lines.length
  }
  return {
    onSample: (sample) => {
      if (sample.phase !== phase.name) phase = { name: sample.phase, sinceS: sample.elapsedS }
      // Before the first run all is idle, which by itself looks like a load.
      if (sample.phase !== 'before') judge(() => (stage = judgedStage(trail.trace())))
      draw(() => {
        const trace = trail.trace()
        const doing = sayPhase(phase.name, { runs, sinceS: sample.elapsedS - phase.sinceS })
        const tail = withoutControls(pending.out.shown() || pending.err.shown()).slice(0, style.width)
        lines = plotLive(
          { ...sample, path, doing, trace, traceStartS: trail.traceStartS(), stage, unfinished: tail },
          style,
        )
        erase()
        redraw()
      })
    },
    print: (bytes, stream, write) => {
      const whole = pending[stream].take(bytes, write)
      if (whole === '') return
      erase()
      write(whole)
      redraw()
    },
    close: () => {
      erase()
      pending.out.flush()
      pending.err.flush()
    },
  }
}

/** Holds back the line that a stream has begun: the plot stands below it, so it can't be gone on with in its place. */
function pendingLine() {
  const decoder = new TextDecoder()
  let text = ''
  let print = (_text: string): void => {}
  return {
    /** Text up to the last line break; empty when there is none yet. */
    take: (bytes: Uint8Array, write: (text: string) => void): string => {
      print = write
      const all = text + decoder.decode(bytes, { stream: true })
      // What never ends its line is let go in pieces.
      const end = all.length > LONGEST_HELD ? all.length : all.lastIndexOf('\n') + 1
      text = all.slice(end)
      return all.slice(0, end)
    },
    /** What shows of it, where a program writes a line over and over. */
    shown: () => text.slice(-LONGEST_LINE).split('\r').filter(Boolean).at(-1) ?? '',
    flush: () => {
      if (text !== '') print(`${text}\n`)
      text = ''
    },
  }
}

// Shares of one core; with the sampling itself they stay below half a per cent. The credit is for the first minute, when
// stages are short and the program is still being compiled.
const JUDGE_SHARE = 0.0006
const DRAW_SHARE = 0.0008
const CREDIT_S = 0.05
const SHORTEST_WAIT_S = 0.4

// A program may print without ever ending a line; more than this is not looked through for what shows.
const LONGEST_LINE = 4096

// More than any line that a screen could show.
const LONGEST_HELD = 65_536

/** A stage that can't be judged is not shown: no picture is worth a recording. */
export function judgedStage(trace: Trace | undefined): PresentStage | undefined {
  try {
    return trace === undefined ? undefined : judgeStage(trace)
  } catch {
    return undefined
  }
}

/** Runs an action only as often as a share of the processor allows, by what it has cost until now. */
function pacer({ cpuS, now }: LiveSettings, share: number): (action: () => void) => void {
  const startS = now()
  let [spentS, nextS] = [0, Number.NEGATIVE_INFINITY]
  return (action) => {
    if (now() < nextS || spentS > CREDIT_S + share * (now() - startS)) return
    const before = cpuS()
    action()
    spentS += cpuS() - before
    nextS = now() + SHORTEST_WAIT_S
  }
}
