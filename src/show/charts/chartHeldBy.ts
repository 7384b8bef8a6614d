import type { HoldLabel } from '../../segment/load.js'
import type { ChartTheme } from './chartTheme.js'

/** What held the power, in two or three words. */
export const HELD_BY_WORDS: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'held by a set limit',
  heat: 'held by heat',
  demand: 'all the task asks for',
  undetermined: 'cause not settled by the log',
}

/** The same for a narrow column. */
export const HELD_BY_SHORT: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'set limit',
  heat: 'heat',
  demand: 'the task itself',
  undetermined: 'can’t be told',
}

/** Line and text colour of what held the power. */
export function heldByColours(theme: ChartTheme, label: HoldLabel): { line: string; text: string } {
  switch (label) {
    case 'power-limit':
      return { line: theme.limit, text: theme.limitText }
    case 'heat':
      return { line: theme.heat, text: theme.heatText }
    case 'demand':
      return { line: theme.demand, text: theme.demandText }
    case 'undetermined':
      return { line: theme.undetermined, text: theme.undeterminedText }
  }
}
