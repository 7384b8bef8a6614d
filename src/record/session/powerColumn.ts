import { InputError } from '../../errors.js'
import { parseLog } from '../../log/parseLog.js'
import type { Sensors } from '../sensors/findSensors.js'
import type { Gauge } from '../sensors/gauge.js'
import { formatHeader, formatRow } from './formatRecording.js'

/** Which column of a recording a reader of logs takes for the power by itself; null when it would ask. */
export interface PowerColumn {
  readonly chosen: string | null
  /** All that it would choose from. */
  readonly columns: readonly string[]
}

/**
 * Which reading stands for the machine's power on the live screen: the gauge that the reader takes, else the energy counters.
 *
 * @returns its place among the gauges; null for the counters
 */
export function powerGauge(sensors: Sensors): number | null {
  const { chosen, columns } = powerColumn(sensors)
  const at = sensors.gauges.findIndex(({ header }) => header === (chosen ?? columns[0]))
  return at < 0 ? null : at
}

/** Asks the reader itself, with the header that the recording has and a few rows that any machine could have written. */
export function powerColumn(sensors: Sensors): PowerColumn {
  const header = formatHeader(sensors)
  const powers = sensors.gauges.filter(({ kind }) => kind === 'power' || kind === 'battery')
  const columns = [
    ...header.split(',').filter((name) => name.endsWith('[uJ]')),
    ...powers.map((gauge) => gauge.header),
  ]
  const rows = [0, 1, 2].map((i) =>
    formatRow(
      { elapsedS: i, epochMs: 1000 * i, phase: 'before' },
      {
        energiesUj: sensors.counters.map(() => 5e6 * i),
        temperaturesMilliC: sensors.temperatures.map(() => 40_000),
        clockKhz: 2e6,
        gauges: sensors.gauges.map(({ kind }) => USUAL[kind]),
        throttledBy: 'none',
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

/** What each kind of column may hold, in its header's unit. */
const USUAL: { readonly [kind in Gauge['kind']]: number } = {
  power: 5e6,
  battery: 5e6,
  limit: 28e6,
  temperature: 40_000,
  'clock-limit': 4e6,
  'heat-events': 0,
  'limit-events': 0,
}
