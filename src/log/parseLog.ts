import { InputError } from '../errors.js'
import type { FormulaOptions } from './formula/formulaOptions.js'
import { LogParser, type ParserOptions } from './logParser.js'
import { plainText } from './table/plainText.js'
import type { LogOptions, ParsedLog } from './trace.js'

/**
 * Text table of any logger to a power trace, with everything that was passed over, mended or set aside.
 *
 * Delimiter, decimal mark, encoding, header, columns, units and the form of the time are found from the text itself; see each
 * file of this room. The `options` name columns where the log leaves a choice, and the sampling interval of a log
 * without times. For a log that comes in pieces, see `LogParser`.
 *
 * @param log - the file's bytes, or its text
 * @throws InputError with the line and a remedy when the log can't be read; nothing else is thrown, whatever the bytes
 * @example parseLog('time_s,power_w\n0,5\n1,45\n2,45').trace.powerW // Float64Array [5, 45, 45]
 */
export function parseLog(log: Uint8Array | string, options: FormulaOptions = {}): ParsedLog {
  const parse = (parserOptions: ParserOptions) => {
    const parser = new LogParser(parserOptions)
    for (const bytes of typeof log === 'string' ? encoded(log) : pieces(log)) parser.push(bytes)
    return parser.finish()
  }
  try {
    return parse(options)
  } catch (error) {
    if (!canDoWithoutTime(error, options)) throw namedError(error, options)
    try {
      return parse({ ...options, withoutTime: true })
    } catch (again) {
      throw namedError(again, options)
    }
  }
}

/** A column that looks like times but doesn't run: the interval that the user gave is better. */
export function canDoWithoutTime(error: unknown, options: LogOptions): boolean {
  const useless = error instanceof InputError && error.code === 'time-not-rising'
  return useless && options.everyS !== undefined && options.time === undefined
}

/** The error with the log's name, when there is one. */
export function namedError(error: unknown, { file }: LogOptions): unknown {
  return error instanceof InputError && file !== undefined ? error.at({ file: plainText(file, 200) }) : error
}

const PIECE = 2 ** 20

function* pieces(bytes: Uint8Array): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += PIECE) yield bytes.subarray(at, at + PIECE)
}

function* encoded(text: string): Generator<Uint8Array> {
  const encoder = new TextEncoder()
  for (let at = text.startsWith('\ufeff') ? 1 : 0; at < text.length; ) {
    const last = text.charCodeAt(at + PIECE - 1)
    // The halves of a surrogate pair stay together.
    const end = at + PIECE - (last >= 0xd800 && last <= 0xdbff ? 1 : 0)
    yield encoder.encode(text.slice(at, end))
    at = end
  }
}
