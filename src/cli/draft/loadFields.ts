import type { DraftLoad } from '../../sheet/draft/placeScores.js'
import { sayMoment } from '../../show/figures/sayDuration.js'
import { sayEstimate } from '../../show/figures/sayEstimate.js'

/** A load as a document lists it. */
export function loadFields({ log, number, load }: DraftLoad): object {
  return {
    log,
    number,
    startS: load.startS,
    endS: load.endS,
    sustainedW: load.sustained.levelW,
    runs: load.runs.length,
  }
}

/** A load in the words of a comment in its sheet. */
export function sayLoad({ number, load }: DraftLoad): string {
  const { reached, levelW } = load.sustained
  const level = sayEstimate(levelW, 'W').replaceAll('\u00a0', ' ')
  return `Load ${number}, ${sayMoment(load.startS)} to ${sayMoment(load.endS)}: ${reached ? 'settled at' : 'not yet settled, heading to'} ${level}`
}
