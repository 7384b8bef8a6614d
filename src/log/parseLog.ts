import { InputError } from '../errors.js'
import { listColumns } from './chooseColumn.js'
import { type ChosenColumns, chooseColumns, type MeasuredColumn, noteAssumedUnits } from './chooseColumns.js'
import { collectRows } from './collectRows.js'
import { decodeText } from './decodeText.js'
import { findHeader, type Header } from './findHeader.js'
import { mendSamples } from './mendSamples.js'
import { plainText } from './plainText.js'
import type { LogOptions, ParsedLog } from './trace.js'

/**
 * Text table of any logger to a power trace, with everything that was passed over, mended or set aside.
 *
 * Delimiter, decimal mark, encoding, header, columns, units and the form of the time are found from the text itself; see each
 * file of this room. The `options` name columns where the log leaves a choice, and the sampling interval of a log
 * without times.
 *
 * @param log - the file's bytes, or its text
 * @throws InputError with the line and a remedy when the log can't be read; nothing else is thrown, whatever the bytes
 * @example parseLog('time_s,power_w\n0,5\n1,45\n2,45').trace.powerW // Float64Array [5, 45, 45]
 */
export function parseLog(log: Uint8Array | string, options: LogOptions = {}): ParsedLog {
  try {
    const { everyS } = options
    if (everyS !== undefined && !(everyS > 0 && Number.isFinite(everyS))) {
      throw new InputError('interval-not-positive', `needed a sampling interval above 0 s, got ${everyS} s`)
    }
    const text = (typeof log === 'string' ? log : decodeText(log).text).replace(/^\ufeff/, '')
    const header = findHeader(text)
    const chosen = chooseColumns(header, options)
    return parseTable(text, header, chosen, options)
  } catch (error) {
    if (error instanceof InputError && options.file !== undefined)
      throw error.at({ file: plainText(options.file, 200) })
    throw error
  }
}

function parseTable(text: string, header: Header, chosen: ChosenColumns, options: LogOptions): ParsedLog {
  if (chosen.time === undefined && options.everyS === undefined) throw timeMissing(header)
  try {
    const table = collectRows(text, header, chosen)
    const { trace, mendings } = mendSamples(table, chosen, options)
    const notes = noteAssumedUnits(header, chosen)
    return { trace, columns: namesOf(chosen), skipped: table.skipped, mendings: [...notes, ...mendings] }
  } catch (error) {
    const useless = error instanceof InputError && error.code === 'time-not-rising'
    if (!useless || options.everyS === undefined || options.time !== undefined) throw error
    // A column that looks like times but doesn't run: the interval that the user gave is better.
    return parseTable(text, header, { ...chosen, time: undefined }, options)
  }
}

function timeMissing(header: Header): InputError {
  return new InputError('time-missing', `found no column with times among ${listColumns(header.columns)}`, {
    where: { line: header.line },
    remedy: 'pick it with --time "NAME", or give the sampling interval with --every 1s',
  })
}

function namesOf({ time, power, temperature, clock }: ChosenColumns): ParsedLog['columns'] {
  return {
    time: time?.columns.map(({ header }) => header).join(' + ') ?? null,
    power: power.column.header,
    temperature: temperature === undefined ? null : familyName(temperature, 'hottest'),
    clock: clock === undefined ? null : familyName(clock, 'mean'),
  }
}

function familyName({ column, siblings }: MeasuredColumn, how: string): string {
  return siblings === undefined ? column.header : `${column.header} and ${siblings.length} more (${how})`
}
