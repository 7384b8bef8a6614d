import type { RandomStream } from '../worlds/randomStream.js'
import { EXTREME_NUMBERS, PROTOTYPE_KEYS } from './extremes.js'
import { inLines, type TextMutator } from './mutateText.js'

/** Changes that know a log for a table: its columns, header, units and times. */
export const TABLE_MUTATORS: { readonly [name: string]: TextMutator } = {
  columnDeleted: changeRows((random, width) => {
    const at = random.integer(0, width - 1)
    return (cells) => cells.toSpliced(at, 1)
  }),
  columnDoubled: changeRows((random, width) => {
    const [at, to] = [random.integer(0, width - 1), random.integer(0, width)]
    return (cells) => cells.toSpliced(to, 0, cells[at] ?? '')
  }),
  columnsSwapped: changeRows((random, width) => {
    const [a, b] = [random.integer(0, width - 1), random.integer(0, width - 1)]
    const headerToo = random.chance(0.5)
    return (cells, isHeader) =>
      isHeader && !headerToo
        ? cells
        : cells.with(clip(a, cells), cells[b] ?? '').with(clip(b, cells), cells[a] ?? '')
  }),
  columnOfOneValue: changeRows((random, width) => {
    const at = random.integer(0, width - 1)
    const value = random.pick([...EXTREME_NUMBERS, '5', '50', '1e5'])
    return (cells, isHeader) => (isHeader || at >= cells.length ? cells : cells.with(at, value))
  }),
  columnOfExtremes: changeRows((random, width) => {
    const [at, share] = [random.integer(0, width - 1), random.pick([0.02, 0.3, 1])]
    return (cells, isHeader) =>
      isHeader || at >= cells.length || !random.chance(share)
        ? cells
        : cells.with(at, random.pick(EXTREME_NUMBERS))
  }),
  columnScaled: changeRows((random, width) => {
    const at = random.integer(0, width - 1)
    const factor = random.pick([-1, 0, 1e-300, 1e-9, 1e-3, 1e3, 1e9, 1e30, 1e300])
    return (cells, isHeader) =>
      isHeader || at >= cells.length
        ? cells
        : cells.with(at, String(Number(cells[at]!.replace(',', '.')) * factor))
  }),
  columnOfNoise: changeRows((random, width) => {
    const [at, size] = [random.integer(0, width - 1), 10 ** random.integer(-12, 12)]
    return (cells, isHeader) =>
      isHeader || at >= cells.length ? cells : cells.with(at, String(size * random.normal()))
  }),
  columnRising: changeRows((random, width) => {
    const [at, step] = [random.integer(0, width - 1), 10 ** random.integer(-320, 305)]
    let value = random.pick([0, 1741032900, -1e9])
    return (cells, isHeader) => {
      value += step
      return isHeader || at >= cells.length ? cells : cells.with(at, String(value))
    }
  }),
  raggedRows: changeRows((random) => {
    const share = random.pick([0.02, 0.5])
    return (cells, isHeader) => {
      if (isHeader || !random.chance(share)) return cells
      return random.chance(0.5) ? cells.slice(0, random.integer(0, cells.length)) : [...cells, ...cells]
    }
  }),
  timesRepeated: changeRows((random) => {
    let held = ''
    return (cells, isHeader) => {
      if (isHeader) return cells
      if (held === '' || random.chance(0.3)) held = cells[0] ?? ''
      return cells.with(0, held)
    }
  }),
  unitsSwapped: (text, random) =>
    inHeader(text, (line) => line.replace(UNITS, () => random.pick(UNIT_NAMES))),
  prototypeHeader: (text, random) =>
    inHeader(text, (line) =>
      line.replace(/[\p{L}_]{3,}/gu, (word) => (random.chance(0.6) ? random.pick(PROTOTYPE_KEYS) : word)),
    ),
  headerTwice: (text, random) =>
    inLines(text, (lines) => lines.toSpliced(random.integer(0, lines.length), 0, lines[0] ?? '')),
  headerLost: (text) => inLines(text, (lines) => lines.filter((line) => !isHeader(line))),
  headerOfOneName: (text, random) => {
    const name = random.pick(['power_w', 'time_s', 'Power [W]', 'W', 's', '__proto__', '', ' '])
    return inHeader(text, (line) => line.replace(/[^,;|\t]+/g, name))
  },
  wide: (text, random) => {
    const more = random.pick([200, 2000, 21_000, 200_000])
    const [delimiter, name] = [delimiterOf(text), random.pick(['x', 'power_w', 'temp_c', 'a [W]'])]
    // Only the header and some rows, so that a million columns stay a few megabytes.
    return inLines(text, (lines) =>
      lines.map((line, i) =>
        isHeader(line)
          ? line + (delimiter + name).repeat(more)
          : i < 6
            ? line + `${delimiter}1`.repeat(more)
            : line,
      ),
    )
  },
  otherDelimiter: (text, random) =>
    text.replaceAll(delimiterOf(text), random.pick([',', ';', '\t', '|', ' ', ':'])),
  mixedDelimiters: (text, random) =>
    text.replace(/[,;\t|]/g, (mark) => (random.chance(0.05) ? random.pick([',', ';', '\t', '|']) : mark)),
  fewRows: (text, random) => inLines(text, (lines) => lines.slice(0, random.integer(1, 9))),
  longLog: (text, random) =>
    inLines(text, (lines) => [
      ...lines,
      ...Array.from({ length: random.integer(1, 12) }, () => lines.slice(3)).flat(),
    ]),
}

const UNIT_NAMES = [
  'W',
  'mW',
  'kW',
  'J',
  'uJ',
  'mWh',
  '°C',
  'degF',
  'K',
  's',
  'ms',
  'us',
  'MHz',
  'Hz',
  '%',
  '?',
] as const
const UNITS = /(?<=[[(])[^\])]+(?=[\])])|(?<=_)[a-z]{1,3}(?![a-z])/gi

type ChangeRow = (cells: readonly string[], isHeader: boolean) => readonly string[]

function changeRows(make: (random: RandomStream, width: number) => ChangeRow): TextMutator {
  return (text, random) => {
    const delimiter = delimiterOf(text)
    const header = text.split(/\r?\n/).find(isHeader) ?? ''
    const change = make(random, Math.max(1, header.split(delimiter).length))
    return inLines(text, (lines) =>
      lines.map((line) =>
        line === '' ? line : change(line.split(delimiter), isHeader(line)).join(delimiter),
      ),
    )
  }
}

function inHeader(text: string, change: (line: string) => string): string {
  return inLines(text, (lines) => lines.map((line) => (isHeader(line) ? change(line) : line)))
}

/** Good enough for the logs that are changed here: the line that names a power or an energy. */
function isHeader(line: string): boolean {
  return /power|energy/i.test(line) && !/notes/.test(line)
}

function delimiterOf(text: string): string {
  const header = text.split(/\r?\n/).find(isHeader) ?? ''
  return ['\t', '|', ';', ','].find((mark) => header.includes(mark)) ?? ','
}

function clip(index: number, cells: readonly string[]): number {
  return Math.min(index, cells.length - 1)
}
