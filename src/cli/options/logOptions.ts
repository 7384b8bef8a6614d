import { type Command, InvalidArgumentError, Option } from 'commander'
import { parseRunTime } from '../../log/time/parseRunTime.js'
import type { GivenTimes, LogOptions, RunTime } from '../../log/trace.js'
import { complaintOf, quantityOption } from './quantityOption.js'

export interface LogOptionValues {
  readonly power?: string
  readonly time?: string
  readonly temperature?: string
  readonly clock?: string
  readonly every?: number
  readonly device?: string
  readonly reasonBits?: string
  readonly from?: RunTime
  readonly to?: RunTime
  readonly load?: number
  readonly loadsAt?: readonly GivenTimes[]
}

/** Adds the options that say which column is which, and which part of the log to take. */
export function addLogOptions(command: Command): Command {
  return command
    .addOption(timeOption('--from <time>', 'takes the log from here on: 12:30, 90s, or a time of day'))
    .addOption(timeOption('--to <time>', 'takes the log up to here'))
    .option('--power <column>', 'power or energy column, or a formula: "volts * amps"')
    .option('--time <column>', 'name of the time column')
    .option('--temperature <column>', 'name of the temperature column')
    .option('--clock <column>', 'name of the clock column')
    .option('--device <machine>', 'which machine of a log of several: as its column says')
    .option('--reason-bits <names>', 'names of the bits of a mask of reasons: "4=power 8=heat 1=idle"')
    .addOption(
      quantityOption('--every <interval>', 'time between samples of a log without times: 1s, 500ms', 'time'),
    )
}

/** Adds the choice of one load of a log, on top of the options of logs. */
export function addLoadOption(command: Command): Command {
  return command
    .addOption(
      new Option('--load <number>', 'looks at one load of the log, as `stages` numbers them').argParser(
        loadNumber,
      ),
    )
    .addOption(
      new Option(
        '--loads-at <spans>',
        'takes these spans for its loads, in place of what is found: 12s..840s,15:00..32:00',
      ).argParser((text: string) => complaintOf(() => parseSpans(text))),
    )
}

/** `12s..840s,15:00..32:00`: from when to when each load lasts. */
function parseSpans(text: string): readonly GivenTimes[] {
  return text.split(',').map((span) => {
    const [from, to, ...more] = span.split('..')
    if (from === undefined || to === undefined || more.length > 0)
      throw new InvalidArgumentError('Expected spans such as 12s..840s, with commas between them.')
    return { from: parseRunTime(from), to: parseRunTime(to) }
  })
}

function loadNumber(text: string): number {
  if (/^[1-9]\d{0,3}$/.test(text)) return Number(text)
  throw new InvalidArgumentError('Expected the number of a load, counted from 1.')
}

function timeOption(flags: string, help: string): Option {
  return new Option(flags, help).argParser((text: string) => complaintOf(() => parseRunTime(text)))
}

/** The choices of columns and parts that were made; absent ones are absent. */
export function chosenColumns(values: LogOptionValues): LogOptions {
  const { power, time, temperature, clock, every, device, reasonBits, from, to, load, loadsAt } = values
  return {
    ...(power === undefined ? {} : { power }),
    ...(time === undefined ? {} : { time }),
    ...(temperature === undefined ? {} : { temperature }),
    ...(clock === undefined ? {} : { clock }),
    ...(device === undefined ? {} : { device }),
    ...(reasonBits === undefined ? {} : { reasonBits }),
    ...(from === undefined ? {} : { from }),
    ...(to === undefined ? {} : { to }),
    ...(load === undefined ? {} : { load }),
    ...(loadsAt === undefined ? {} : { loads: loadsAt }),
    ...(every === undefined ? {} : { everyS: every }),
  }
}
