import type { RandomStream } from '../worlds/randomStream.js'
import { EXTREME_NUMBERS, ODD_CHARACTERS } from './extremes.js'

export type TextMutator = (text: string, random: RandomStream) => string

/** Changes that any text can suffer: what disks, editors, spreadsheets and transfers do to it, and worse. */
export const TEXT_MUTATORS: { readonly [name: string]: TextMutator } = {
  truncated: (text, random) => text.slice(0, random.integer(0, text.length)),
  beheaded: (text, random) => text.slice(random.integer(0, text.length)),
  cutOut: (text, random) => {
    const [from, to] = span(text.length, random, 400)
    return text.slice(0, from) + text.slice(to)
  },
  repeatedPart: (text, random) => {
    const [from, to] = span(text.length, random, 2000)
    return text.slice(0, to) + text.slice(from, to).repeat(random.integer(1, 5)) + text.slice(to)
  },
  swappedCharacters: (text, random) => {
    const characters = [...text]
    for (let times = random.integer(1, 20); times > 0; times--) {
      const [i, j] = [random.integer(0, characters.length - 1), random.integer(0, characters.length - 1)]
      ;[characters[i], characters[j]] = [characters[j] ?? '', characters[i] ?? '']
    }
    return characters.join('')
  },
  changedDigits: (text, random) => {
    const share = random.pick([0.001, 0.02, 0.3])
    return text.replace(/\d/g, (digit) => (random.chance(share) ? String(random.integer(0, 9)) : digit))
  },
  extremeNumbers: (text, random) => {
    const [share, one] = [random.pick([0.002, 0.02, 0.3]), random.pick(EXTREME_NUMBERS)]
    const many = random.chance(0.5)
    return text.replace(/[-+]?\d+(\.\d+)?/g, (number) =>
      random.chance(share) ? (many ? random.pick(EXTREME_NUMBERS) : one) : number,
    )
  },
  oddCharacters: (text, random) => {
    let out = text
    for (let times = random.integer(1, 12); times > 0; times--) {
      const at = random.integer(0, out.length)
      out = out.slice(0, at) + random.pick(ODD_CHARACTERS) + out.slice(at)
    }
    return out
  },
  droppedLines: (text, random) => {
    const share = random.pick([0.02, 0.3, 0.9])
    return inLines(text, (lines) => lines.filter(() => !random.chance(share)))
  },
  doubledLines: (text, random) => {
    const share = random.pick([0.02, 0.5])
    return inLines(text, (lines) => lines.flatMap((line) => (random.chance(share) ? [line, line] : [line])))
  },
  shuffledLines: (text, random) => inLines(text, (lines) => random.shuffle(lines)),
  reversedLines: (text) => inLines(text, (lines) => lines.reverse()),
  mixedNewlines: (text, random) =>
    text.replace(/\r\n|\n|\r/g, () => random.pick(['\n', '\r\n', '\r', '\n\r', '\n\n', '\u2028'])),
  noNewlines: (text, random) => text.replace(/\r\n|\n|\r/g, random.pick(['', ' ', ',', '\0'])),
  blankLines: (text, random) =>
    inLines(text, (lines) =>
      lines.flatMap((line) => (random.chance(0.3) ? [line, ...' '.repeat(random.integer(1, 5))] : [line])),
    ),
  giganticLine: (text, random) => {
    const long = random
      .pick(['5', 'a,', '" ', '\t', '[', '- ', 'time_s,power_w,'])
      .repeat(random.integer(1, 60) * 2000)
    return inLines(text, (lines) =>
      lines.toSpliced(random.integer(0, lines.length), random.integer(0, 1), long),
    )
  },
  strayQuotes: (text, random) => {
    const share = random.pick([0.0005, 0.01, 0.1])
    return text.replace(/[^\r\n]/g, (character) => (random.chance(share) ? `"${character}` : character))
  },
  nothing: () => '',
  doubledText: (text) => text + text,
  unchanged: (text) => text,
}

function span(length: number, random: RandomStream, most: number): [number, number] {
  const from = random.integer(0, length)
  return [from, Math.min(length, from + random.integer(1, most))]
}

export function inLines(text: string, change: (lines: string[]) => readonly string[]): string {
  const newline = text.includes('\r\n') ? '\r\n' : '\n'
  return change(text.split(newline)).join(newline)
}
