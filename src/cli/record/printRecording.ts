import type { Caution } from '../../predict/projection/caution.js'
import type { Sensors } from '../../record/sensors/findSensors.js'
import { whyLeftOut } from '../../record/session/formatSheet.js'
import { powerColumn } from '../../record/session/powerColumn.js'
import type { PowerTrail } from '../../record/session/powerTrail.js'
import type { RecordedRun } from '../../record/session/recordedRun.js'
import type { Recording } from '../../record/session/recordLog.js'
import { sayCount } from '../../show/figures/sayEstimate.js'
import { sayRecording } from '../../show/terminal/sayRecording.js'
import type { Warning } from '../../warnings.js'
import type { Context } from '../context.js'
import { printAnswer } from '../output/printAnswer.js'
import { spokenCautions } from '../output/spokenCautions.js'
import { withoutControls } from '../output/withoutControls.js'
import type { PreparedRecording } from './prepareRecording.js'
import type { RecordJob, RecordOptions } from './recordJob.js'
import type { RecordSession } from './recordSession.js'

/** What a recording that has ended is told from. */
export interface EndedRecording {
  readonly job: RecordJob
  readonly prepared: PreparedRecording
  readonly recording: Recording
  readonly session: Pick<RecordSession, 'wasStopped' | 'unreadable'>
  readonly trail: PowerTrail
  /** What the command printed and nobody took. */
  readonly droppedBytes: number
  /** Processor time of this process, and time that passed, while it was recorded. */
  readonly cost: { readonly cpuS: number; readonly elapsedS: number }
}

/** What should be said before a machine is put under a load for long. */
export const RECORDING_CAUTIONS: readonly Caution[] = ['hot-surfaces', 'makers-limits']

/** Prints the answer of `log`. */
export function printRecording(ended: EndedRecording, options: RecordOptions, context: Context): void {
  const { job, prepared, recording, trail } = ended
  const { runs, sleeps } = prepared.sheet.trial()
  const scored = runs.filter((run) => whyLeftOut(run, sleeps) === undefined)
  const cost = costOf(ended)
  const view = {
    path: job.log,
    sheet: job.sheet,
    samples: recording.samples,
    durationS: recording.durationS,
    runs,
    scored,
    unit: job.head.workload.score,
    power: trail.figures(),
    sensors: sensorNames(prepared.sensors),
    cost,
  }
  printAnswer(
    {
      command: 'log',
      warnings: warningsOf(ended, options),
      document: () => documentOf(ended, runs, cost),
      view,
      say: sayRecording,
    },
    options,
    context,
  )
}

/** Prints that all was recorded, and the sheet alone had to be made whole. */
export function printWholeSheet({ log, sheet }: RecordJob, options: RecordOptions, context: Context): void {
  const view = `Nothing was left to record. The sheet lacked runs of the log and is whole now: ${withoutControls(sheet)}`
  const document = () => ({ log: { path: log, resumed: true }, sheet })
  printAnswer({ command: 'log', warnings: [], document, view, say: (text) => text }, options, context)
}

/** What is recorded, in words: counters, temperatures, clock. */
export function sensorNames({
  counters,
  temperatures,
  clocks,
  gauges,
  limits,
  denied,
}: Sensors): readonly string[] {
  const energies = counters.map(({ name }) => name).join(', ')
  return [
    ...(counters.length === 0 ? [] : [`energy of ${energies}`]),
    ...gauges
      .filter(({ kind }) => kind === 'power' || kind === 'battery')
      .map(({ header }) => `power of ${header.replace(/ power \[uW\]$/, '')}`),
    ...temperatures.map(({ name }) => `temperature of ${name}`),
    ...(clocks.length === 0 ? [] : ['clock']),
    ...(limits.length === 0 ? [] : [`limits (${limits.join('; ')})`]),
    ...(gauges.some(({ kind }) => kind === 'heat-events') ? ['throttling'] : []),
    ...(denied.length === 0
      ? []
      : [`without ${sayCount(denied.length, 'counter')} that this user may not read`]),
  ]
}

function costOf({ recording, cost }: EndedRecording) {
  return {
    perSampleMs: (1000 * cost.cpuS) / Math.max(1, recording.samples),
    share: cost.elapsedS === 0 ? 0 : cost.cpuS / cost.elapsedS,
  }
}

function documentOf(
  { job, prepared, recording, cost: { cpuS } }: EndedRecording,
  runs: readonly RecordedRun[],
  { perSampleMs, share }: ReturnType<typeof costOf>,
) {
  const { samples, durationS, incomplete, unknown, sleeps } = recording
  const [first, last] = [recording.runs[0], recording.runs.at(-1)]
  return {
    log: {
      path: job.log,
      samples,
      durationS,
      incomplete,
      unknown,
      sleeps,
      commandStartS: first?.startS,
      commandEndS: last?.endS,
      powerColumn: powerColumn(prepared.sensors).chosen,
      resumed: prepared.from !== null,
    },
    sheet: job.sheet,
    child: { command: job.words, status: last?.status, signal: last?.signal },
    runs,
    cost: { cpuS, perSampleMs, corePct: share * 100 },
    cautions: job.words.length === 0 ? [] : spokenCautions(RECORDING_CAUTIONS),
  }
}

function warningsOf(ended: EndedRecording, options: RecordOptions): Warning[] {
  const { prepared, recording, session } = ended
  const { sensors } = prepared
  const { samples, incomplete, unknown, sleeps, durationS } = recording
  const { chosen, columns } = powerColumn(sensors)
  const atS = (prepared.from?.last?.elapsedS ?? 0) + durationS
  return [
    ...(session.wasStopped() ? [{ code: 'record-interrupted', atS } as const] : []),
    ...(samples > 2 && ended.trail.figures()?.highestW === 0
      ? [{ code: 'record-counter-still' } as const]
      : []),
    ...runWarnings(ended, options),
    ...(ended.droppedBytes > 0
      ? [{ code: 'record-output-dropped', bytes: ended.droppedBytes } as const]
      : []),
    ...sleeps.map((sleep) => ({ code: 'record-slept', ...sleep }) as const),
    ...(sensors.denied.length > 0
      ? [{ code: 'record-counters-denied', count: sensors.denied.length } as const]
      : []),
    ...(chosen === null ? [{ code: 'record-power-unclear', columns } as const] : []),
    ...(sensors.temperatures.length === 0 ? [{ code: 'record-temperature-missing' } as const] : []),
    ...(sensors.clocks.length === 0 ? [{ code: 'record-clock-missing' } as const] : []),
    ...(sensors.clockShare !== null && sensors.clockShare < CLOCK_FREE_SHARE
      ? [{ code: 'record-clock-limited', pct: 100 * sensors.clockShare } as const]
      : []),
    ...(incomplete > 0 ? [{ code: 'record-incomplete', count: incomplete, samples } as const] : []),
    ...(unknown > 0 ? [{ code: 'record-energy-unknown', count: unknown, samples } as const] : []),
  ]
}

/** Limits of groups of cores are whole steps of the clock: this near to the highest none is set. */
const CLOCK_FREE_SHARE = 0.99

/** Runs that the sheet does without, and why. */
function runWarnings({ job, prepared, session }: EndedRecording, { score }: RecordOptions): Warning[] {
  const { runs, sleeps } = prepared.sheet.trial()
  const leftOut = (why: string) => runs.filter((run) => whyLeftOut(run, sleeps) === why)
  const numbers = (some: readonly RecordedRun[]) => some.map(({ number }) => number)
  const [failed, scoreless] = [leftOut('failed'), leftOut('no-score')]
  const of = runs.length
  const [first] = failed
  return [
    ...(first === undefined
      ? []
      : [
          {
            code: 'record-command-failed',
            status: first.status,
            signal: first.signal,
            runs: numbers(failed),
            of,
          } as const,
        ]),
    ...(scoreless.length === 0
      ? []
      : [
          {
            code: 'record-score-missing',
            runs: numbers(scoreless),
            of,
            unreadable: session.unreadable(),
          } as const,
        ]),
    ...(job.words.length > 0 && score === undefined ? [{ code: 'record-score-is-time' } as const] : []),
  ]
}
