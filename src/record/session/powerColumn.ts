import { InputError } from '../../errors.js'
import { parseLog } from '../../log/parseLog.js'
import type { Sensors } from '../sensors/findSensors.js'
import { formatHeader, formatRow } from './formatRecording.js'

/** Which column of a recording a reader of logs takes for the power by itself; null when it would ask. */
export interface PowerColumn {
  readonly chosen: string | null
  /** All that it would choose from. */
  readonly columns: readonly string[]
}

/** Asks the reader itself, with the header that the recording has and a few rows that any machine could have written. */
export function powerColumn(sensors: Sensors): PowerColumn {
  const header = formatHeader(sensors)
  const columns = header.split(',').filter((name) => name.endsWith('[uJ]'))
  const rows = [0, 1, 2].map((i) =>
    formatRow(
      { elapsedS: i, epochMs: 1000 * i, phase: 'before' },
      {
        energiesUj: sensors.counters.map(() => 5e6 * i),
        temperaturesMilliC: sensors.temperatures.map(() => 40_000),
        clockKhz: 2e6,
        packagesGainUj: undefined,
      },
      sensors,
    ),
  )
  try {
    return { chosen: parseLog(`${[header, ...rows].join('\n')}\n`).columns.power, columns }
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    return { chosen: null, columns }
  }
}
