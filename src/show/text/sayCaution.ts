import type { Caution } from '../../predict/projection/caution.js'

/** A caution in a sentence, for printing where someone might act on a figure. */
export function sayCaution(caution: Caution): string {
  switch (caution) {
    case 'raised-limits':
      return 'Raising a power limit can overheat or damage a machine; this figure is a calculation, not advice to do it.'
    case 'hot-surfaces':
      return 'Surfaces and exhaust air of a machine under load can burn: do not touch, cover or block them.'
    case 'battery-and-mains':
      return 'Batteries, adapters and mains parts have limits of their own and need care: do not exceed what they are made for.'
    case 'makers-limits':
      return "The maker's limits, and people qualified for the work, decide what a machine may be set to."
  }
}

/** All cautions as one paragraph; empty when there are none. */
export function sayCautions(cautions: readonly Caution[]): string {
  return cautions.map(sayCaution).join(' ')
}
