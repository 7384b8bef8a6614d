import type { RecordedRun } from '../../record/session/recordedRun.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayCount, sayNumber, sayPercent, sayPower } from '../figures/sayEstimate.js'
import { wrapText } from '../figures/wrapText.js'
import { inkText, type Style } from './style.js'

/** A recording as it was kept. */
export interface RecordingView {
  readonly path: string
  /** Null without a command. */
  readonly sheet: string | null
  readonly samples: number
  readonly durationS: number
  /** All runs in the log, those before a cut too. */
  readonly runs: readonly RecordedRun[]
  /** Runs that the sheet counts. */
  readonly scored: readonly RecordedRun[]
  readonly unit: string
  readonly power: { readonly meanW: number; readonly highestW: number } | undefined
  readonly sensors: readonly string[]
  /** Processor time of the recorder itself, and as a part of one core. */
  readonly cost: { readonly perSampleMs: number; readonly share: number }
}

/** What was recorded and where it is, what that cost, and what to do with it. */
export function sayRecording(view: RecordingView, style: Style): string {
  const { path, sheet, samples, durationS, cost } = view
  const next =
    view.scored.length === 0 ? [`stages ${path}`] : [`check ${sheet}`, `stages ${path}`, `fit ${sheet}`]
  return [
    inkText(`${sayCount(samples, 'sample')} in ${sayDuration(durationS)}: ${path}`, 'strong', style),
    ...(sheet === null ? [] : [wrapText(sayRuns(view), style.width)]),
    wrapText(`${sayMeasured(view)}Columns: ${view.sensors.join('; ')}.`, style.width),
    wrapText(
      `Logging took ${sayNumber(cost.perSampleMs, 2, 'ms')} of processor time a sample, ${sayPercent(cost.share * 100, 2)} of one core.`,
      style.width,
    ),
    wrapText(`Next: ${next.map((words) => `holdwatt ${words}`).join(', ')}`, style.width),
  ].join('\n')
}

function sayMeasured({ power }: RecordingView): string {
  if (power === undefined) return 'No power was measured. '
  return `Power was ${sayPower(power.meanW)} on average and ${sayPower(power.highestW)} at most. `
}

function sayRuns({ runs, scored, unit, sheet }: RecordingView): string {
  const times = runs.map(({ startS, endS }) => endS - startS)
  const lasted = runs.length === 0 ? '' : `, ${range(times, sayDuration)}${runs.length === 1 ? '' : ' each'}`
  const scores = scored.map(({ score }) => score!)
  const found =
    scores.length === 0 ? 'no scores' : `${scores.length} scored, ${range(scores, sayScore)} ${unit}`
  return `${sayCount(runs.length, 'run')}${lasted}; ${found}: ${sheet}`
}

/** Without the zeros that a count of digits would add to a score that was printed without. */
function sayScore(score: number): string {
  return String(Number(score.toPrecision(6)))
}

function range(values: readonly number[], say: (value: number) => string): string {
  const [low, high] = [say(Math.min(...values)), say(Math.max(...values))]
  return low === high ? low : `${low} to ${high}`
}
