import { InputError } from '../errors.js'
import { listColumns } from './chooseColumn.js'
import { type ChosenColumns, chooseColumns, noteAssumedUnits } from './chooseColumns.js'
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
    const text = typeof log === 'string' ? log : decodeText(log).text
    const header = findHeader(text.startsWith('\ufeff') ? text.slice(1) : text)
    const chosen = chooseColumns(header, options)
    if (chosen.time === undefined && options.everyS === undefined) throw timeMissing(header)
    const table = collectRows(text.startsWith('\ufeff') ? text.slice(1) : text, header, chosen)
    const { trace, mendings } = mendSamples(table, chosen, options)
    return {
      trace,
      columns: namesOf(chosen),
      skipped: table.skipped,
      mendings: [...noteAssumedUnits(header, chosen), ...mendings],
    }
  } catch (error) {
    if (error instanceof InputError && options.file !== undefined)
      throw error.at({ file: plainText(options.file, 200) })
    throw error
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
    temperature: temperature?.column.header ?? null,
    clock: clock?.column.header ?? null,
  }
}
