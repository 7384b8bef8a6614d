import type { HoldLabel } from '../../segment/load.js'

/** What held the power, as a table and a label say it. */
export const heldByNames: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'power limit',
  heat: 'heat',
  demand: 'workload',
  undetermined: 'cause unknown',
}

/** The same beside a power: `44.2 W, held by a power limit`. */
export const heldByWords: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'held by a power limit',
  heat: 'held by heat',
  demand: 'all that the workload needs',
  undetermined: 'cause unknown',
}

/** The same as the last clause of a sentence about the power. */
export const heldByClauses: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'a power limit holds it there, not heat',
  heat: 'heat holds it there',
  demand: 'the workload needs no more',
  undetermined: 'the cause is unknown',
}
