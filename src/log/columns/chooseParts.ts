import type { Header } from '../table/findHeader.js'
import { NEVER, rankOf } from './chooseColumn.js'
import { type MeasuredColumn, measuredColumns } from './measuredColumn.js'

/** Columns with the power of two parts that share the chosen one. */
export interface PartColumns {
  readonly processor: MeasuredColumn
  readonly graphics: MeasuredColumn
}

/**
 * The power of the processor and that of the graphics, where the chosen power is named as the whole of both (a package, a total), or is a
 * formula over them; undefined where names leave any doubt. A card of its own beside a processor's package is no part of it.
 */
export function chooseParts(header: Header, power: MeasuredColumn): PartColumns | undefined {
  const summed = power.formula?.inputs.map(({ column }) => column.index) ?? []
  const candidates = measuredColumns(header, ['power']).filter(
    ({ column }) => column.index !== power.column.index || power.formula !== undefined,
  )
  const usable = candidates.filter(
    ({ column }) => !STATISTIC.test(column.name) && rankOf('power', column) < NEVER,
  )
  const graphics = usable.filter(({ column: { name } }) => GRAPHICS.test(name) && !WHOLE.test(name))
  const processor = usable.filter(
    ({ column: { name } }) => PROCESSOR.test(name) && !GRAPHICS.test(name) && !WHOLE.test(name),
  )
  const [first, second] = [processor[0], graphics[0]]
  if (first === undefined || second === undefined || processor.length + graphics.length > 2) return undefined
  const isWhole =
    power.formula === undefined
      ? WHOLE.test(power.column.name) && !isForeign(power.column.name, second.column.name)
      : [first, second].every(({ column }) => summed.includes(column.index))
  return isWhole ? { processor: first, graphics: second } : undefined
}

// Words of the trade in column names; common practice, no source.
const WHOLE = /package|\bpkg\b|\btotal\b|gesamt|\bwhole\b|\bsystem\b|\bplatform\b|\bsoc\b|\bapu\b/
const PROCESSOR = /\b(cpus?|processors?|prozessor|cores?)\b/
const GRAPHICS = /\b(i?gpu|dgpu|graphics?|gfx|gt)\b/
const STATISTIC = /\b(avg|average|mean|median|min|max|minimum|maximum|peak|core ?\d+)\b/

/** The package of a processor holds graphics only where those are said to be built in. */
function isForeign(whole: string, graphics: string): boolean {
  return /\b(cpu|processor|prozessor)\b/.test(whole) && !/\b(igpu|gt|graphics?|gfx)\b/.test(graphics)
}
