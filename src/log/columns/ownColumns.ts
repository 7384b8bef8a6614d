import type { Column } from '../table/describeColumn.js'
import type { Header } from '../table/findHeader.js'
import { bare, rankOf } from './chooseColumn.js'
import { POWER_WORD } from './choosePower.js'
import { holdsNumbers, type MeasuredColumn } from './measuredColumn.js'

/** What tells machines apart in names: a number or word at one place of them. */
interface MachineLabels {
  readonly own: string
  readonly all: ReadonlySet<string>
}

/**
 * The header without the columns of other machines, where one row tells of several: `card 0 power`, `card 0 temp`, `card 1 power`,
 * `card 1 temp`. Powers of one rank whose names differ in one word or number name the machines. A column is another machine's when the
 * chosen machine has its like under its own label, and no machine beyond those has: sixteen cores are not two sockets.
 *
 * @param power - the chosen power; a formula may be over several machines, and leaves all columns
 */
export function ownColumns(header: Header, power: MeasuredColumn): Header {
  const labels = power.formula === undefined ? labelsOf(header, power.column) : undefined
  if (labels === undefined) return header
  const shared = new Set(
    [...familiesOf(header.columns)]
      .filter(([, family]) => family.has(labels.own) && [...family].every((label) => labels.all.has(label)))
      .map(([pattern]) => pattern),
  )
  const isOthers = ({ name }: Column) =>
    patternsOf(name).some(([pattern, word]) => word !== labels.own && shared.has(pattern))
  return { ...header, columns: header.columns.filter((column) => !isOthers(column)) }
}

/** The labels of the machines whose powers stand beside the chosen one; undefined where it stands alone. */
function labelsOf(header: Header, chosen: Column): MachineLabels | undefined {
  const rank = rankOf('power', chosen)
  const isPower = ({ unit, name }: Column) =>
    chosen.unit === undefined
      ? unit === undefined && POWER_WORD.test(name)
      : unit?.dimension === chosen.unit.dimension
  const powers = header.columns
    .filter(
      (column) => column.index === chosen.index || (isPower(column) && rankOf('power', column) === rank),
    )
    .filter(({ index, name }) => index === chosen.index || bare(name) !== bare(chosen.name))
  const families = familiesOf(powers.filter((column) => holdsNumbers(header, column)))
  for (const [pattern, own] of patternsOf(chosen.name)) {
    const all = families.get(pattern)
    if (all !== undefined && all.size > 1) return { own, all }
  }
  return undefined
}

/** Labels by the names that they stand in, `#` in their place. */
function familiesOf(columns: readonly Column[]): ReadonlyMap<string, ReadonlySet<string>> {
  const families = new Map<string, Set<string>>()
  for (const { name } of columns) {
    for (const [pattern, word] of patternsOf(name)) {
      families.set(pattern, (families.get(pattern) ?? new Set()).add(word))
    }
  }
  return families
}

/** Each word of a name, `gpu0` being two, with the name that is left of it. */
function patternsOf(name: string): [pattern: string, word: string][] {
  const words: string[] = name.slice(0, LONGEST_NAME).match(/\p{N}+|[^\s\p{N}]+/gu) ?? []
  return words.map((word, i) => [words.with(i, '#').join(' '), word])
}

// Names of columns are short; longer ones are compared by their beginning.
const LONGEST_NAME = 80
