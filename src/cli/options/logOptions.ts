import type { Command } from 'commander'
import type { LogOptions } from '../../log/trace.js'
import { quantityOption } from './quantityOption.js'

export interface LogOptionValues {
  readonly power?: string
  readonly time?: string
  readonly temperature?: string
  readonly clock?: string
  readonly every?: number
  readonly device?: string
  readonly reasonBits?: string
}

/** Adds the options that say which column is which. */
export function addLogOptions(command: Command): Command {
  return command
    .option('--power <column>', 'name of the power or energy column')
    .option('--time <column>', 'name of the time column')
    .option('--temperature <column>', 'name of the temperature column')
    .option('--clock <column>', 'name of the clock column')
    .option('--device <machine>', 'which machine of a log of several: as its column says')
    .option('--reason-bits <names>', 'names of the bits of a mask of reasons: "4=power 8=heat 1=idle"')
    .addOption(
      quantityOption('--every <interval>', 'time between samples of a log without times: 1s, 500ms', 'time'),
    )
}

/** The choices of columns that were made; absent ones are absent. */
export function chosenColumns(values: LogOptionValues): LogOptions {
  const { power, time, temperature, clock, every, device, reasonBits } = values
  return {
    ...(power === undefined ? {} : { power }),
    ...(time === undefined ? {} : { time }),
    ...(temperature === undefined ? {} : { temperature }),
    ...(clock === undefined ? {} : { clock }),
    ...(device === undefined ? {} : { device }),
    ...(reasonBits === undefined ? {} : { reasonBits }),
    ...(every === undefined ? {} : { everyS: every }),
  }
}
