import type { Column } from '../table/describeColumn.js'

/** The part of a machine that a column is about. */
export type MachinePart = 'processor' | 'graphics'

const WORDS: { readonly [part in MachinePart]: RegExp } = {
  processor: /\b(cpus?|processors?|soc|apu|prozessor|package|pkg|cores?|tctl|tdie)\b/,
  graphics: /\b(gpus?|igpu|dgpu|graphics?|gfx|vga|accelerators?|card)\b/,
}

/** Parts that a column's name speaks of. */
export function partsOf(name: string): ReadonlySet<MachinePart> {
  const parts = (['processor', 'graphics'] as const).filter((part) => WORDS[part].test(name))
  return new Set(parts)
}

/** The name without the words for a part. */
export function withoutPart(name: string, part: MachinePart): string {
  return name.replace(new RegExp(WORDS[part], 'g'), ' ').replace(/ {2,}/g, ' ').trim()
}

/**
 * The part whose power was chosen: as its name says; else the graphics where the other columns speak of nothing else; else the
 * processor. Its temperature, clock and reasons belong with it, and those of the other part don't.
 */
export function partOfPower(power: Column, columns: readonly Column[]): MachinePart {
  const own = partsOf(power.name)
  if (own.size > 0) return own.has('processor') ? 'processor' : 'graphics'
  const all = columns.map(({ name }) => partsOf(name))
  const isGraphics =
    all.some((parts) => parts.has('graphics')) && !all.some((parts) => parts.has('processor'))
  return isGraphics ? 'graphics' : 'processor'
}
