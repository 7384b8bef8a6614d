import type { Caution } from '../../predict/projection/caution.js'
import { sayDuration } from '../figures/sayDuration.js'
import { wrapText } from '../figures/wrapText.js'
import { sayCautions } from '../text/sayCaution.js'

/** What is about to be recorded. */
export interface RecordingStartView {
  readonly path: string
  readonly sensors: readonly string[]
  readonly everyS: number
  /** Null without a command. */
  readonly command: string | null
  readonly runs: number
  readonly beforeS: number
  readonly forS: number
  /** Runs that the log holds already; null for a new log. */
  readonly resumedRuns: number | null
  readonly cautions: readonly Caution[]
}

/** Printed on stderr before a recording begins: what, where, how often, how to end it, and the safety paragraph. */
export function sayRecordingStart(view: RecordingStartView, width: number): string {
  const { path, sensors, everyS, resumedRuns } = view
  const every = `every ${everyS < 1 ? `${Math.round(everyS * 1000)}\u00a0ms` : sayDuration(everyS)}`
  const goesOn = resumedRuns === null ? '' : ' It continues a log that was cut.'
  return [
    wrapText(
      `Logging ${sensors.join('; ')} ${every} to ${path}.${goesOn} ${sayWork(view)} Ctrl-C ends it and keeps everything.`,
      width,
    ),
    ...(view.cautions.length === 0 ? [] : [wrapText(sayCautions(view.cautions), width)]),
  ].join('\n')
}

function sayWork({ command, runs, beforeS, forS, resumedRuns }: RecordingStartView): string {
  if (command === null) return `It ends in ${sayDuration(forS)}.`
  const idle = beforeS === 0 ? 'Now' : `${sayDuration(beforeS)} idle, then`
  const more = resumedRuns !== null && resumedRuns > 0 ? ' more' : ''
  return `${idle} ${runs === 1 ? `one${more} run` : `${runs}${more} runs`} of: ${command}.`
}
