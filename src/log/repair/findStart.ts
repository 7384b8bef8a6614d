import type { ChosenColumns } from '../columns/chooseColumns.js'
import type { TableRows } from '../rows/tableReader.js'
import { StampColumns } from '../time/stampColumns.js'
import type { WrittenTimes } from '../time/writtenTimes.js'
import type { Trace } from '../trace.js'
import type { OrderedSamples } from './orderedSamples.js'

/** When a sample was taken. */
export type StartOf = (sample: number) => Pick<Trace, 'startEpochS' | 'startOfDayS'>

/** When a sample was taken, in the log's own clock; beside an elapsed time, another column may tell. */
export function findStart(
  samples: OrderedSamples,
  { written, first }: TableRows,
  chosen: ChosenColumns,
): StartOf {
  const wall = chosen.time?.wall
  if (wall === undefined) return (sample) => startIn(written, samples.rows[sample]!)
  const stamp = new StampColumns(wall.columns)
  stamp.parse(first)
  const began = startIn(stamp.written(Int32Array.of(stamp.day), Float64Array.of(stamp.secondsOfDay)), 0)
  return (sample) => {
    const sinceS = written.seconds[samples.rows[sample]!]! - written.seconds[0]!
    const { startEpochS, startOfDayS } = began
    return Number.isNaN(sinceS)
      ? { startEpochS: null, startOfDayS: null }
      : {
          startEpochS: startEpochS === null ? null : startEpochS + sinceS,
          startOfDayS: startOfDayS === null ? null : (startOfDayS + sinceS) % 86_400,
        }
  }
}

function startIn({ scale, seconds, ofDayS }: WrittenTimes, row: number): ReturnType<StartOf> {
  const dated = (scale === 'epoch' || scale === 'wall-clock') && !Number.isNaN(seconds[row])
  const ofDay = ofDayS(row)
  // 27:57:27 is no time of a day.
  const startOfDayS = ofDay !== null && ofDay >= 0 && ofDay < 86_400 ? ofDay : null
  return { startEpochS: dated ? seconds[row]! : null, startOfDayS }
}
