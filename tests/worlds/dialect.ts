import type { RandomStream } from './randomStream.js'

export type TimeForm =
  | 'elapsed-s'
  | 'elapsed-ms'
  | 'elapsed-us'
  | 'elapsed-min'
  | 'epoch-s'
  | 'epoch-ms'
  | 'iso-utc'
  | 'iso-offset'
  | 'iso-local'
  | 'time-of-day'
  | 'dmy-one-column'
  | 'mdy-two-columns'
  | 'ymd-two-columns'
  | 'ymd-slash'
  | 'none'
export type PowerForm = 'W' | 'mW' | 'kW' | 'J' | 'mJ' | 'uJ' | 'Wh' | 'mWh'

/** How a made-up logger writes its table. */
export interface Dialect {
  readonly delimiter: ',' | ';' | '\t' | '|'
  readonly decimalComma: boolean
  readonly encoding: 'utf-8' | 'utf-8-bom' | 'utf-16le' | 'utf-16be' | 'windows-1252'
  readonly newline: '\n' | '\r\n'
  readonly quoted: boolean
  readonly time: TimeForm
  readonly power: PowerForm
  readonly powerName: string
  readonly temperature: 'C' | 'F' | 'K' | 'mC' | null
  readonly clock: 'Hz' | 'kHz' | 'MHz' | 'GHz' | null
  /** Lines before the header, blank lines, the header again every so often, statistics at the end, other columns. */
  readonly preamble: boolean
  readonly blankLines: boolean
  readonly repeatedHeader: boolean
  readonly statistics: boolean
  readonly otherColumns: boolean
  readonly shuffled: boolean
  /** Rows written twice or swapped with the next, as parts of all rows. */
  readonly repeated: number
  readonly swapped: number
  /** Seconds since 1970 UTC of the first sample. */
  readonly startEpochS: number
}

/** 3 March 2025, 20:15:00 UTC: a fixed instant for dialects that write dates. */
const START_EPOCH_S = 1741032900

export const PLAIN_DIALECT: Dialect = {
  delimiter: ',',
  decimalComma: false,
  encoding: 'utf-8',
  newline: '\n',
  quoted: false,
  time: 'elapsed-s',
  power: 'W',
  powerName: 'power_w',
  temperature: 'C',
  clock: null,
  preamble: false,
  blankLines: false,
  repeatedHeader: false,
  statistics: false,
  otherColumns: false,
  shuffled: false,
  repeated: 0,
  swapped: 0,
  startEpochS: START_EPOCH_S,
}

const TIME_FORMS: readonly TimeForm[] = [
  'elapsed-s',
  'elapsed-ms',
  'elapsed-us',
  'elapsed-min',
  'epoch-s',
  'epoch-ms',
  'iso-utc',
  'iso-offset',
  'iso-local',
  'time-of-day',
  'dmy-one-column',
  'mdy-two-columns',
  'ymd-two-columns',
  'ymd-slash',
]

/** Any dialect that the log format allows (never without times: that needs `every`). */
export function drawDialect(random: RandomStream): Dialect {
  const delimiter = random.pick([',', ';', '\t', '|'] as const)
  const power = random.pick(['W', 'W', 'W', 'mW', 'kW', 'J', 'mJ', 'uJ', 'Wh', 'mWh'] as const)
  const nearMidnight = random.chance(0.3)
  const midnight = Math.ceil(START_EPOCH_S / 86400) * 86400
  return {
    delimiter,
    decimalComma: delimiter !== ',' && random.chance(0.5),
    encoding: random.pick(['utf-8', 'utf-8', 'utf-8-bom', 'utf-16le', 'utf-16be', 'windows-1252'] as const),
    newline: random.pick(['\n', '\r\n'] as const),
    quoted: random.chance(0.3),
    time: random.pick(TIME_FORMS),
    power,
    powerName: random.pick(powerNames(power)),
    temperature: random.pick(['C', 'C', 'F', 'K', 'mC', null] as const),
    clock: random.pick(['Hz', 'kHz', 'MHz', 'GHz', null, null] as const),
    preamble: random.chance(0.3),
    blankLines: random.chance(0.2),
    repeatedHeader: random.chance(0.2),
    statistics: random.chance(0.3),
    otherColumns: random.chance(0.5),
    shuffled: random.chance(0.3),
    repeated: random.pick([0, 0, 0.002]),
    swapped: random.pick([0, 0, 0.002]),
    startEpochS: nearMidnight
      ? midnight - random.integer(60, 500)
      : START_EPOCH_S + random.integer(0, 200) * 86400 + random.integer(0, 3000),
  }
}

function powerNames(power: PowerForm): readonly string[] {
  if (power === 'W')
    return ['Package power [W]', 'Package Power (W)', 'power_w', 'Total power [W]', 'pkg_power_W']
  if (power === 'mW') return ['power_mw', 'Package power [mW]', 'Total Power (mW)']
  if (power === 'kW') return ['Package power [kW]', 'power_kw']
  const unit = power === 'uJ' ? ['energy_uj', 'Package energy [µJ]'] : [`Package energy [${power}]`]
  return [...unit, `energy_${power.toLowerCase()}`]
}
