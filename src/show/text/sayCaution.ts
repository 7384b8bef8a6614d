import type { Caution } from '../../predict/projection/caution.js'

/** A caution in a sentence, for printing where someone might act on a figure. */
export function sayCaution(caution: Caution): string {
  switch (caution) {
    case 'raised-limits':
      return 'Raising a power limit can overheat or damage a machine; these figures are a calculation, not advice to do it.'
    case 'hot-surfaces':
      return 'Surfaces and exhaust air of a machine under load can burn: do not touch, cover or block them.'
    case 'battery-and-mains':
      return 'Batteries, adapters and mains parts have limits of their own: do not exceed what they are made for.'
    case 'makers-limits':
      return "Keep to the maker's limits, and leave settings beyond them to people qualified for the work."
  }
}

/** All cautions as the one paragraph of a document that holds them; empty when there are none. */
export function sayCautions(cautions: readonly Caution[]): string {
  return cautions.length === 0 ? '' : `Safety: ${cautions.map(sayCaution).join(' ')}`
}
