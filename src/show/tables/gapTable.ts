import type { Gap } from '../../predict/gap/explainGap.js'
import { type DataTable, dataTable } from './dataTable.js'

/** The parts of a gap between two machines, which multiply to its ratio. */
export function gapTable(gap: Gap): DataTable {
  return dataTable(`Why ${gap.a} differs from ${gap.b}`, gap.parts, [
    { name: 'cause', of: (part) => part.name },
    { name: 'change', unit: '%', interval: true, of: (part) => part.percent },
    { name: 'log ratio', interval: true, of: (part) => part.logRatio },
    {
      name: 'difference',
      unit: gap.unit,
      of: (part) => (Math.abs(part.points) < NOTHING ? 0 : Number(part.points.toPrecision(4))),
    },
  ])
}

/** What rounding leaves of a zero; no score is told so finely. */
const NOTHING = 1e-9
