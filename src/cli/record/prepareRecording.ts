import { setTimeout as delay } from 'node:timers/promises'
import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import { findSensors, type Sensors } from '../../record/sensors/findSensors.js'
import type { SysfsTree } from '../../record/sensors/sysfsTree.js'
import type { ResumePoint } from '../../record/session/findResumePoint.js'
import { formatHeader } from '../../record/session/formatRecording.js'
import { powerColumn } from '../../record/session/powerColumn.js'
import { readResumePoint, refuseReplacing } from '../../record/session/readResumePoint.js'
import { wasCut } from '../../record/session/recordedRun.js'
import { type SheetKeeper, sheetKeeper } from '../../record/session/sheetKeeper.js'
import { type RecordingFile, writeRecording } from '../../record/session/writeRecording.js'
import type { RecordJob, RecordOptions } from './recordJob.js'

/** Everything that a recording needs before its first sample. */
export interface PreparedRecording {
  readonly sensors: Sensors
  /** Where it goes on; null for a new one. */
  readonly from: ResumePoint | null
  /** Runs still to be made, counted from 1; null without a command. */
  readonly runs: { readonly first: number; readonly last: number } | null
  /** Time still to be recorded without a command, s. */
  readonly forS: number
  readonly file: RecordingFile
  readonly sheet: SheetKeeper
}

/**
 * Looks for the counters, finds what is left to do, and opens log and sheet; nothing is written before all that is clear.
 *
 * @returns null where nothing was left to record but the sheet, which is whole now
 * @throws InputError those of `findSensors`, `readResumePoint`, `writeRecording`; `nothing-to-resume`
 */
export async function prepareRecording(
  job: RecordJob,
  options: RecordOptions,
  { tree, version }: { readonly tree: SysfsTree; readonly version: string },
): Promise<PreparedRecording | null> {
  const sensors = findSensors(tree)
  const head = [...headLines(job, options, version), ...sensors.limits.map((limit) => `# limit: ${limit}`)]
  const lines = [...head, formatHeader(sensors)]
  const wait = (seconds: number) => delay(1000 * seconds)
  const resuming = { sensors, head, everyS: options.every, wait }
  const from = options.resume === true ? await readResumePoint(job.log, resuming) : null
  const force = options.force === true
  if (force) await refuseReplacing(job.log, wait)
  const { chosen, columns } = powerColumn(sensors)
  const begun = {
    log: job.log,
    power: chosen === null ? columns[0]! : null,
    runs: from?.runs ?? [],
    sleeps: from?.gaps ?? [],
  }
  const sheet = sheetKeeper(job.sheet, job.head, begun, force || from !== null)
  const rest = await restOf(job, options, { from, sheet })
  if (rest === null) return null
  // A log that may be replaced is replaced last, when nothing else can be in the way.
  if (force || from !== null) await sheet.write()
  const file = await writeRecording(job.log, from === null ? { head: lines, force } : from)
  if (!force && from === null) {
    await sheet.write().catch(async (error: unknown) => {
      await file.discard()
      throw error
    })
  }
  return { sensors, from, ...rest, file, sheet }
}

/** Lines above the header: readers pass them over, `--resume` compares them. */
function headLines({ words }: RecordJob, { every }: RecordOptions, version: string): string[] {
  const command = plainText(words.join(' '), 200).replace(/["|;,\t]/g, ' ')
  return [
    `# recorded by holdwatt ${version} every ${every} s`,
    ...(words.length === 0 ? [] : [`# command: ${command}`]),
  ]
}

/** What is left to record; where that is nothing, a cut may still have come between the log and its sheet, which is made up for. */
async function restOf(job: RecordJob, options: RecordOptions, { from, sheet }: BegunRecording) {
  try {
    return leftToRecord(job, options, from)
  } catch (error) {
    if (!(await sheet.isStale())) throw error
    await sheet.write()
    return null
  }
}

interface BegunRecording {
  readonly from: ResumePoint | null
  readonly sheet: SheetKeeper
}

function leftToRecord(job: RecordJob, options: RecordOptions, from: ResumePoint | null) {
  if (job.words.length === 0) {
    const forS = options.for! - (from?.recordedS ?? 0)
    if (forS <= 0) throw nothingToResume(job, `all of the time (${options.for} s) is recorded`)
    return { runs: null, forS }
  }
  const begun = from?.runs ?? []
  const done = begun.filter((run) => !wasCut(run)).length
  if (done >= job.loop)
    throw nothingToResume(job, done === 1 ? 'its run is there' : `all ${done} runs are there`)
  const first = Math.max(0, ...begun.map(({ number }) => number)) + 1
  return { runs: { first, last: first + job.loop - done - 1 }, forS: 0 }
}

function nothingToResume({ log }: RecordJob, why: string): InputError {
  return new InputError('nothing-to-resume', `nothing is left to record: ${why}`, {
    where: { file: log },
    remedy: 'ask for more runs with --loop or more time with --for, or begin a new log with another --out',
  })
}
