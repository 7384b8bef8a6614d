import type { ChosenColumns } from './chooseColumns.js'
import type { TableRows } from './collectRows.js'
import type { OrderedSamples } from './orderedSamples.js'
import { parseTimes, type WrittenTimes } from './parseTimes.js'
import type { Trace } from './trace.js'

/** When a sample was taken. */
export type StartOf = (sample: number) => Pick<Trace, 'startEpochS' | 'startOfDayS'>

/** When a sample was taken, in the log's own clock; beside an elapsed time, another column may tell. */
export function findStart(
  samples: OrderedSamples,
  written: WrittenTimes,
  table: TableRows,
  chosen: ChosenColumns,
): StartOf {
  const wall = chosen.time?.wall
  if (wall === undefined) return (sample) => startIn(written, samples.rows[sample]!)
  const cells = wall.columns.map(({ index }) => [table.first[index] ?? ''])
  const first = startIn(parseTimes(wall, cells, chosen.fallback), 0)
  return (sample) => {
    const sinceS = written.seconds[samples.rows[sample]!]! - written.seconds[0]!
    const { startEpochS, startOfDayS } = first
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
  const ofDay = ofDayS?.[row]
  return {
    startEpochS: dated ? seconds[row]! : null,
    startOfDayS: ofDay === undefined || Number.isNaN(ofDay) ? null : ofDay,
  }
}
