import { uptime } from 'node:os'
import { InputError } from '../../errors.js'
import { resumedCounters } from '../../record/sensors/sampleRow.js'
import type { SysfsTree } from '../../record/sensors/sysfsTree.js'
import { isKnownToPercent } from '../../record/session/judgeStage.js'
import { type PowerTrail, powerTrail } from '../../record/session/powerTrail.js'
import type { RecordingWorld } from '../../record/session/recordingWorld.js'
import { type Recording, type RecordingPlan, recordLog } from '../../record/session/recordLog.js'
import { sayRecordingStart } from '../../show/terminal/sayRecordingStart.js'
import type { Context } from '../context.js'
import { chooseStyle } from '../output/outputOptions.js'
import { withoutControls } from '../output/withoutControls.js'
import { judgedStage, type LiveScreen, liveScreen } from './liveScreen.js'
import { type OutputPass, passOutput } from './passOutput.js'
import { type PreparedRecording, prepareRecording } from './prepareRecording.js'
import { printRecording, printWholeSheet, RECORDING_CAUTIONS, sensorNames } from './printRecording.js'
import type { RecordJob, RecordOptions } from './recordJob.js'
import { type RecordSession, recordSession } from './recordSession.js'
import type { ChildOutput } from './runChild.js'

/** Records what a job asks for, from the look at the counters to the answer. */
export async function runRecording(
  job: RecordJob,
  options: RecordOptions,
  { tree, context }: { readonly tree: SysfsTree; readonly context: Context },
): Promise<void> {
  const prepared = await prepareRecording(job, options, { tree, version: context.version })
  if (prepared === null) return printWholeSheet(job, options, context)
  const output = passOutput()
  // Output is lost before data is: a recording and its command outlive whoever reads what they print.
  const endOutliving = context.outliveOutput?.()
  context.writeErr(`${sayStart(job, options, prepared)}\n\n`)
  const trail = powerTrail()
  const screen = startScreen(job, options, { trail, last: prepared.runs?.last ?? 1 }, context)
  const session = startSession(job, options, { screen, output })
  const usage = startUsage()
  const settled = untilSettled(options, trail)
  const world = worldOf(tree, prepared, {
    onSample: (sample) => {
      trail.add(sample)
      screen?.onSample(sample)
    },
    onRun: async (run) => {
      await prepared.sheet.add(run)
      settled.onRun()
    },
  })
  let recording: Recording
  try {
    recording = await recordLog(
      planOf(job, options, prepared, {
        ...session,
        stopped: Promise.race([session.stopped, settled.reached]),
      }),
      world,
    )
  } catch (error) {
    await session.endRun()
    await giveUp(error, prepared)
    throw error
  } finally {
    screen?.close()
    session.close()
  }
  const cost = usage()
  await prepared.file.close()
  await prepared.sheet.write(recording.sleeps)
  endOutliving?.()
  printRecording(
    { droppedBytes: output.droppedBytes(), job, prepared, recording, session, trail, cost },
    options,
    context,
  )
}

function sayStart(
  job: RecordJob,
  options: RecordOptions,
  { sensors, from, runs, forS }: PreparedRecording,
): string {
  return sayRecordingStart(
    withoutControls({
      path: job.log,
      sensors: sensorNames(sensors),
      everyS: options.every,
      command: runs === null ? null : job.words.join(' ').slice(0, 200),
      runs: runs === null ? 0 : runs.last - runs.first + 1,
      beforeS: options.before,
      forS,
      resumedRuns: from?.runs.length ?? null,
      cautions: runs === null ? [] : RECORDING_CAUTIONS,
    }),
    80,
  )
}

/** The plot needs so many lines, and some above it for what the command prints. */
const LEAST_ROWS = 20
const MOST_COLUMNS = 80

function startScreen(
  job: RecordJob,
  options: RecordOptions,
  { trail, last }: { readonly trail: PowerTrail; readonly last: number },
  context: Context,
): LiveScreen | undefined {
  const fits = (context.rows ?? LEAST_ROWS) >= LEAST_ROWS
  if (!options.live || !context.stderrIsTerminal || context.env.TERM === 'dumb' || !fits) return undefined
  const style = chooseStyle(options, { ...context, stdoutIsTerminal: true })
  return liveScreen({
    path: withoutControls(job.log),
    runs: last,
    trail,
    style: { ...style, width: Math.min(style.width, MOST_COLUMNS) },
    writeErr: context.writeErr,
    cpuS,
    now,
  })
}

function startSession(job: RecordJob, options: RecordOptions, passing: OutputPassing): RecordSession {
  return recordSession({
    words: job.words,
    score: options.score ?? null,
    workload: job.head.workload,
    output: childOutput(options, passing),
    now,
  })
}

interface OutputPassing {
  readonly screen: LiveScreen | undefined
  readonly output: OutputPass
}

/** What the command prints goes through us only where we need to see it or to draw below it. */
function childOutput(options: RecordOptions, { screen, output }: OutputPassing): ChildOutput {
  const toErr = options.json === true
  if (options.score === undefined && screen === undefined) return toErr ? 'stderr' : 'inherit'
  return {
    onOutput: (bytes, stream) => {
      const isErr = toErr || stream === 'err'
      const target = isErr ? process.stderr : process.stdout
      if (screen !== undefined && target.isTTY === true)
        screen.print(bytes, stream, (text) => output.write(target, text))
      else output.write(target, bytes)
    },
  }
}

function planOf(
  { gapS }: RecordJob,
  { every, before, after }: RecordOptions,
  { sensors, from, runs, forS }: PreparedRecording,
  session: RecordSession,
): RecordingPlan {
  const work =
    runs === null
      ? ({ kind: 'time', forS } as const)
      : ({ kind: 'runs', ...runs, gapS, beforeS: before, afterS: after, start: session.start } as const)
  return { sensors, everyS: every, work, stop: session.stopped, resumed: resumedPlace(from, every) }
}

/** A cut recording goes on at the time that has passed since; a clock that was set back in between doesn't turn it round. */
function resumedPlace(from: PreparedRecording['from'], everyS: number): RecordingPlan['resumed'] {
  if (from?.last == null) return null
  const sinceS = (Date.now() - from.last.epochMs) / 1000
  return { elapsedS: from.last.elapsedS + Math.max(everyS, sinceS), counters: resumedCounters(from.totalUj) }
}

function worldOf(
  tree: SysfsTree,
  { file }: PreparedRecording,
  told: Required<Pick<RecordingWorld, 'onSample' | 'onRun'>>,
): RecordingWorld {
  return { tree, now, bootS: uptime, epochMs: Date.now, wait, writeLine: file.writeLine, ...told }
}

/** With `--until settled`, ends a loop after the run in which the sustained power is known well enough. */
function untilSettled({ until }: RecordOptions, trail: PowerTrail) {
  let reach = (): void => {}
  const reached = new Promise<void>((resolve) => {
    reach = resolve
  })
  return {
    reached,
    onRun: (): void => {
      const stage = until === undefined ? undefined : judgedStage(trail.trace())
      if (stage !== undefined && isKnownToPercent(stage)) reach()
    },
  }
}

/** Keeps what was recorded; a new log of a command that could not even be started is nothing to keep. */
async function giveUp(error: unknown, { file, sheet, from }: PreparedRecording): Promise<void> {
  const neverRan = error instanceof InputError && error.code === 'command-not-started'
  if (neverRan && from === null && sheet.trial().runs.length === 0) {
    await file.discard()
    await sheet.discard()
  } else await file.close()
}

function startUsage(): () => { readonly cpuS: number; readonly elapsedS: number } {
  const [cpuBefore, before] = [cpuS(), now()]
  return () => ({ cpuS: cpuS() - cpuBefore, elapsedS: now() - before })
}

function cpuS(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1e6
}

function now(): number {
  return performance.now() / 1000
}

/** A plain timer: promises that hang on one long promise would pile up with every sample. */
function wait(seconds: number, cut: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (cut.aborted) return resolve()
    const done = (): void => {
      clearTimeout(timer)
      cut.removeEventListener('abort', done)
      resolve()
    }
    const timer = setTimeout(done, Math.max(0, seconds * 1000))
    cut.addEventListener('abort', done)
  })
}
