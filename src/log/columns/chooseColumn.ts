import { InputError } from '../../errors.js'
import type { Column } from '../table/describeColumn.js'
import { plainText } from '../table/plainText.js'
import { type MachinePart, partsOf, withoutPart } from './machinePart.js'

/** The kind of column that is being looked for; also the option that picks one. */
export type Wanted = 'power' | 'rate' | 'time' | 'temperature' | 'clock'

/** Kinds of column that names rank. */
type Ranked = Exclude<Wanted, 'time' | 'rate'>

/**
 * Picks one column among those that fit: the best rank wins, package and total before parts of them. Several of the
 * best rank are unclear, and so an error. Columns ranked as something else (a limit, a disk's temperature) are never
 * picked without being asked for. One sensor for each of many cores is no choice to be made: all of them are taken.
 *
 * @param candidates - columns whose unit fits
 * @param part - whose temperature or clock is wanted; a power's words count as they stand
 * @returns one column; all of a numbered family of temperatures or clocks; or none
 * @throws InputError `column-ambiguous` with the candidates and the option that picks one
 * @example chooseColumn('power', [describeColumn('Cores (W)', 1), describeColumn('Package (W)', 2)])[0]?.index // 2
 */
export function chooseColumn(
  wanted: Ranked,
  candidates: readonly Column[],
  part: MachinePart = 'processor',
): readonly Column[] {
  const ranked = candidates.map((column) => ({
    column,
    rank: rankOf(wanted, isMeanOfInstant(column, candidates) ? withoutAverage(column) : column, part),
  }))
  const only = wanted === 'power' && candidates.length === 1
  const usable = only ? ranked : ranked.filter(({ rank }) => rank < NEVER)
  if (usable.length === 0) return []
  const best = Math.min(...usable.map(({ rank }) => rank))
  const chosen = usable.filter(({ rank }) => rank === best).map(({ column }) => column)
  if (chosen.length > 1 && wanted === 'power') return [averageOf(chosen)]
  if (chosen.length > 1 && !isFamily(chosen)) throw ambiguous(wanted, chosen)
  return chosen
}

/**
 * The column that the user named: by its whole header, by its name without the unit, by `#N` (counted from 1), or by a
 * part that only one header has. Upper and lower case are the same.
 *
 * @throws InputError `column-unknown`, `column-ambiguous`
 */
export function findNamedColumn(wanted: Wanted, asked: string, columns: readonly Column[]): Column {
  const number = /^#(\d+)$/.exec(asked.trim())
  const key = plainText(asked).toLowerCase()
  const tests: ((column: Column) => boolean)[] = [
    (column) => number !== null && column.index === Number(number[1]) - 1,
    (column) => column.header.toLowerCase() === key,
    (column) => column.name === key.replace(/[^\p{L}\p{N}]+/gu, ' ').trim() && column.name !== '',
    (column) => key !== '' && column.header.toLowerCase().includes(key),
  ]
  for (const test of tests) {
    const found = columns.filter(test)
    if (found.length > 1) throw ambiguous(wanted, found)
    if (found.length === 1) return found[0]!
  }
  throw new InputError('column-unknown', `no column "${plainText(asked)}" in the log`, {
    remedy: `choose one of: ${listColumns(columns)}`,
  })
}

/** Error for several columns that fit equally well. */
export function ambiguous(wanted: Wanted, columns: readonly Column[]): InputError {
  const twins = new Set(columns.map((column) => column.header)).size < columns.length
  const pick = twins ? `#${columns[0]!.index + 1}` : columns[0]!.header
  return new InputError(
    'column-ambiguous',
    `several columns could be the ${wanted}: ${listColumns(columns)}`,
    {
      remedy:
        wanted === 'rate'
          ? `name one in full: rate: "${pick}"`
          : `pick one with --${wanted} "${pick}"${sayHowToAdd(wanted, columns)}`,
    },
  )
}

/** Powers of like parts, such as two processors, make a whole. */
function sayHowToAdd(wanted: Wanted, columns: readonly Column[]): string {
  if (wanted !== 'power' || columns.length > MOST_ADDED || !isFamily(columns)) return ''
  return `, or add them up with --power '${columns.map(({ index }) => `"#${index + 1}"`).join(' + ')}'`
}

const MOST_ADDED = 4

/** Headers for a message, the first dozen, with column numbers. */
export function listColumns(columns: readonly Column[]): string {
  const named = columns.slice(0, MOST_LISTED).map((column) => `"${column.header}" (#${column.index + 1})`)
  const shown = named.filter((_, i) => named.slice(0, i + 1).join(', ').length <= LONGEST_LIST || i === 0)
  const more = columns.length - shown.length
  return shown.join(', ') + (more > 0 ? ` and ${more} more` : '')
}

/** `Core 0`, `Core 1` …: names that are the same but for their numbers, and different with them. */
function isFamily(columns: readonly Column[]): boolean {
  const names = new Set(columns.map(({ name }) => name))
  const bare = new Set(columns.map(({ name }) => name.replace(/\d+/g, '#')))
  const units = new Set(columns.map(({ unit }) => unit?.symbol))
  return bare.size === 1 && units.size === 1 && names.size === columns.length
}

/** Of the same power as an instant and as a mean of its interval, the mean. */
function averageOf(columns: readonly Column[]): Column {
  const steady = columns.filter(({ name }) => !INSTANT.test(name))
  const names = new Set(columns.map(({ name }) => bare(name)))
  if (steady.length !== 1 || names.size > 1) throw ambiguous('power', columns)
  return steady[0]!
}

/** `Power average` beside `Power instant` is a mean of each interval, where alone it may be one since the log began. */
function isMeanOfInstant(column: Column, columns: readonly Column[]): boolean {
  return (
    AVERAGE.test(column.name) &&
    columns.some(({ name }) => INSTANT.test(name) && bare(name) === bare(column.name))
  )
}

function withoutAverage(column: Column): Column {
  return { ...column, name: bare(column.name) }
}

/** The name without words for instant or mean. */
export function bare(name: string): string {
  return name.replace(INSTANT, ' ').replace(AVERAGE, ' ').replace(/ {2,}/g, ' ').trim()
}

/** Words for a reading of one instant, and for one over an interval. */
export const INSTANT = /\b(instant|instantaneous|momentary|momentan)\b/
const AVERAGE = /\b(avg|average|averaged|mean)\b/

const MOST_LISTED = 12
// Headers may be long, and a message of a few lines holds so many characters.
const LONGEST_LIST = 400
// From here on a column is something else than what is looked for, or only a bound of it.
export const NEVER = 90

// First match decides. Words of the trade in column names; common practice, no source.
const RANKS: { readonly [key in Ranked]: readonly (readonly [RegExp, number])[] } = {
  power: [
    [/limit|\bpl ?\d|\btdp\b|\bcap\b|budget|target|request|allowed|headroom|setpoint|rated/, NEVER],
    [/capacity|remaining|design|full charge|\blevel\b|voltage|current\b(?! power)/, NEVER],
    [/\b(avg|average|mean|median)\b/, 55],
    [/\b(min|max|minimum|maximum|peak)\b/, 60],
    [/\b(gpu|igpu|graphics?|gt|gfx|dgpu|vga|tgp)\b/, 50],
    [
      /\b(i?a? ?cores?( ?\d+)?|pp[01]|uncore|dram|memory|mem|ram|dimm|ddr|io|ring|llc|cache|vr|vccsa|system agent|npu|media|display|disk|ssd|fan|rest)\b/,
      50,
    ],
    [/package|pkg|\bsocket\b/, 10],
    [
      /\b(system|platform|psys|wall|battery|board|adapter|charger|mains|plug|laptop|machine|usb|input|charge|discharge)\b/,
      40,
    ],
    [/total|gesamt|insgesamt|overall|whole|\bsum\b/, 10],
    [/\b(cpu|processor|soc|apu|prozessor|chip|ppt)\b/, 20],
  ],
  temperature: [
    [/limit|distance|margin|\bcrit|throttl|target|tj ?max|\btcc\b|trip|threshold|headroom|offset/, NEVER],
    [
      /\b(gpu|igpu|dgpu|graphics?|gt|vram|ssd|hdd|nvme|disk|drive|memory|mem|ram|dram|dimm|board|mainboard|motherboard|vrm?|vrms|mos|pch|chipset|battery|ambient|room|air|inlet|outlet|exhaust|skin|case|surface|chassis|palm|keyboard|wifi|wlan|fan|acpi|charger|lcd|display|water|coolant)\b/,
      NEVER,
    ],
    [/\b(avg|average|mean|min|minimum)\b/, 60],
    [/package|pkg|\btctl\b|\btdie\b|\bdie\b|junction/, 10],
    [/\b(cpu|processor|soc|apu|prozessor|chip)\b(?!.*\bcore ?\d)/, 20],
    [/\bcores?\b(?! ?\d)|hot ?spot|\bmax/, 30],
    [/\bcore ?\d|\bcpu ?\d|\bccd ?\d/, 50],
  ],
  clock: [
    [/limit|\bmax|\bmin\b|target|request|base|boost|turbo/, NEVER],
    [
      /\b(gpu|igpu|dgpu|graphics?|gt|vram|memory|mem|ram|dram|dimm|ddr|bus|bclk|ring|uncore|llc|cache|fabric|fclk|uclk|mclk|video|media|npu|display|refresh|screen|fan|fps|timer|irq|polling)\b/,
      NEVER,
    ],
    [/effective/, 15],
    [/\b(avg|average|mean)\b/, 15],
    [/\b(cpu|processor|soc|apu|prozessor|package|pkg)\b(?!.*\bcore ?\d)/, 20],
    [/\bcores?\b(?! ?\d)/, 30],
    [/\bcore ?\d|\bcpu ?\d/, 50],
  ],
}
const UNNAMED = 35

/** How well a column fits, less being better; from 90 on it is something else. Also ranks sensors to be recorded. */
export function rankOf(wanted: Ranked, column: Column, part: MachinePart = 'processor'): number {
  const rank =
    part === 'graphics' && wanted !== 'power'
      ? graphicsRank(wanted, column.name)
      : nameRank(wanted, column.name)
  // A reading comes before the energy counter of the same part; a unit in the header before one taken for granted.
  return rank + (column.unit?.dimension === 'energy' ? 1 : 0) + (column.unit === undefined ? 2 : 0)
}

function nameRank(wanted: Ranked, name: string): number {
  return RANKS[wanted].find(([words]) => words.test(name))?.[1] ?? UNNAMED
}

/** Beside the power of a graphics card, its own columns count as the processor's do else, and the processor's as another part's. */
function graphicsRank(wanted: 'temperature' | 'clock', name: string): number {
  const parts = partsOf(name)
  if (parts.has('processor')) return NEVER
  const rank = nameRank(wanted, withoutPart(name, 'graphics'))
  return parts.has('graphics') && rank === UNNAMED ? OWN : rank
}

const OWN = 20
