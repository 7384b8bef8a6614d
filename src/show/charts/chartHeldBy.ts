import type { HoldLabel } from '../../segment/load.js'
import type { ChartTheme } from './chartTheme.js'

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
