import { type Command, InvalidArgumentError, Option } from 'commander'
import type { Style } from '../../show/terminal/style.js'
import type { Context } from '../context.js'

/** An answer's table alone, in one of the forms that other programs take. */
export interface TableFormatOptions {
  readonly csv?: boolean
  readonly markdown?: boolean
  readonly html?: boolean
}

export interface OutputOptions extends TableFormatOptions {
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

/** Adds the options of a command whose answer has a table. */
export function addTableOptions(command: Command): Command {
  return command
    .addOption(tableOption('--csv', 'print the table alone as CSV, intervals as columns of their own'))
    .addOption(tableOption('--markdown', 'print the table alone in Markdown'))
    .addOption(tableOption('--html', 'print the table alone as a fragment of HTML'))
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

/** One form of an answer at a time. */
function tableOption(flag: string, description: string): Option {
  return new Option(flag, description).conflicts(
    ['json', 'jsonLines', 'csv', 'markdown', 'html'].filter((other) => `--${other}` !== flag),
  )
}

/** Whether the table is wanted alone, without text and plots. */
export function isTableAlone({ csv, markdown, html }: TableFormatOptions): boolean {
  return csv === true || markdown === true || html === true
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
    throw new InvalidArgumentError('Expected a whole number of columns from 40 to 400.')
  }
  return width
}
