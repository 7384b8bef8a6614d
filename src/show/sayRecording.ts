import type { ParsedLog } from '../log/trace.js'
import { sayDuration } from './sayDuration.js'
import { sayNumber } from './sayEstimate.js'
import { inkText, type Style } from './style.js'
import { wrapText } from './wrapText.js'

/** A recording as it was kept, read back as a log. */
export interface RecordingView {
  readonly path: string
  readonly samples: number
  readonly durationS: number
  readonly commandStartS: number
  readonly commandEndS: number
  readonly log: ParsedLog
}

/** What was recorded and where it is, and what to do with it. */
export function sayRecording(view: RecordingView, style: Style): string {
  const { trace, columns } = view.log
  const mean = meanPowerW(trace.timesS, trace.powerW)
  const highest = trace.powerW.reduce((most, value) => Math.max(most, value), 0)
  const ran = sayDuration(view.commandEndS - view.commandStartS)
  const sensors = [columns.power, columns.temperature, columns.clock].filter((name) => name !== null)
  return [
    inkText(`${view.samples} samples in ${sayDuration(view.durationS)}: ${view.path}`, 'strong', style),
    wrapText(
      `The command ran for ${ran}. Power was ${sayNumber(mean, 3, 'W')} on average and ${sayNumber(highest, 3, 'W')} at most. Recorded: ${sensors.join('; ')}.`,
      style.width,
    ),
    wrapText(`Next: holdwatt stages ${view.path}`, style.width),
  ].join('\n')
}

/** Mean over time: each power is the mean of the interval that ends at its sample. */
function meanPowerW(timesS: Float64Array, powerW: Float64Array): number {
  let energyJ = 0
  for (let i = 1; i < timesS.length; i++) energyJ += powerW[i]! * (timesS[i]! - timesS[i - 1]!)
  return energyJ / timesS[timesS.length - 1]!
}
