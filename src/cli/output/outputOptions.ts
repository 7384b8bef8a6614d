import { type Command, InvalidArgumentError, Option } from 'commander'
import type { Style } from '../../show/terminal/style.js'
import type { Context } from '../context.js'

export interface OutputOptions {
  readonly json?: boolean
  readonly width?: number
  readonly color?: boolean
}

/** Adds the options that every command has: how its answer is written. */
export function addOutputOptions(command: Command): Command {
  return command
    .option('--json', 'print one JSON document and nothing else')
    .addOption(new Option('--width <columns>', 'columns of the output, 40 to 400').argParser(parseWidth))
    .addOption(new Option('--color', 'colour even when not on a terminal'))
    .addOption(new Option('--no-color', 'no colour'))
}

/**
 * The style that options, environment and terminal agree on: 80 columns unless the terminal says otherwise.
 *
 * An option wins over `NO_COLOR` (present and not empty: no colour), which wins over `FORCE_COLOR`; without either,
 * colour is used on a terminal that is not `dumb`.
 *
 * @source no-color.org: "when present and not an empty string (regardless of its value), prevents the addition of colour"
 */
export function chooseStyle(options: OutputOptions, context: Context): Style {
  const terminalWidth = context.stdoutIsTerminal ? context.columns : undefined
  const width = options.width ?? Math.min(160, Math.max(40, terminalWidth ?? 80))
  return { width, colour: options.color ?? environmentColour(context) }
}

function environmentColour(context: Context): boolean {
  const { env } = context
  if (env.NO_COLOR !== undefined && env.NO_COLOR !== '') return false
  if (env.FORCE_COLOR !== undefined && env.FORCE_COLOR !== '') return env.FORCE_COLOR !== '0'
  return context.stdoutIsTerminal && env.TERM !== 'dumb'
}

function parseWidth(text: string): number {
  const width = Number(text)
  if (!Number.isInteger(width) || width < 40 || width > 400) {
    throw new InvalidArgumentError('A whole number of columns from 40 to 400 was needed.')
  }
  return width
}
