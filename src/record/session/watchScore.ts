import { InputError } from '../../errors.js'
import { plainText } from '../../log/table/plainText.js'
import type { Workload } from '../../physics/chip/chip.js'
import { parseScore } from '../../sheet/parseScore.js'

/** What the output of a run said about its score: a score, or text that is none, or nothing (null). */
export type FoundScore = { readonly score: number } | { readonly unreadable: string } | null

/** Watches the output of one run as it comes. */
export interface ScoreWatch {
  readonly read: (bytes: Uint8Array, stream: 'out' | 'err') => void
  readonly end: () => FoundScore
}

/**
 * Looks for a score in the lines that a command prints, in either stream: the first group of the pattern, in the last line
 * that it fits, since what a program prints on the way comes before what it ends with.
 *
 * @param pattern - with one group around the number
 * @param workload - its unit, and whether the score may be a time
 */
export function watchScore(pattern: RegExp, workload: Workload): ScoreWatch {
  let found: string | undefined
  const look = (line: string): void => {
    found = pattern.exec(line.replace(COLOURS, ''))?.[1] ?? found
  }
  const streams = { out: lineReader(look), err: lineReader(look) }
  return {
    read: (bytes, stream) => streams[stream].read(bytes),
    end: () => {
      streams.out.end()
      streams.err.end()
      return found === undefined ? null : scoreOf(found, workload)
    },
  }
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: the sequences with which programs colour their output (ECMA-48, CSI)
const COLOURS = /\u001b\[[0-9;]*[A-Za-z]/g

// A program may print without ever ending a line; no line with a score is longer. Patterns may cost the square of a line's length, and
// samples wait meanwhile.
const LONGEST_LINE = 8192

function lineReader(look: (line: string) => void) {
  const decoder = new TextDecoder()
  let rest = ''
  return {
    read: (bytes: Uint8Array): void => {
      const lines = (rest + decoder.decode(bytes, { stream: true })).split(/[\r\n]/)
      rest = lines.pop()!.slice(-LONGEST_LINE)
      for (const line of lines) look(line.slice(-LONGEST_LINE))
    },
    end: (): void => look((rest + decoder.decode()).slice(-LONGEST_LINE)),
  }
}

function scoreOf(text: string, workload: Workload): FoundScore {
  try {
    return { score: parseScore(text, workload) }
  } catch (error) {
    if (!(error instanceof InputError)) throw error
    return { unreadable: plainText(text, 40) }
  }
}
