import type { Chip } from '../../physics/chip/chip.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { groupDigits } from '../figures/digits.js'
import { sayValue } from '../figures/sayEstimate.js'
import { shortenName, shortenPath } from '../figures/shorten.js'
import { wrapText } from '../figures/wrapText.js'
import { plotTable } from './plotTable.js'
import type { Style } from './style.js'

/** One fit of many, reduced to a line. */
export interface FitRow {
  readonly path: string
  readonly cells: readonly string[]
}

/** A fit as a line of the table. */
export function fitRow(fit: {
  readonly sheets: readonly string[]
  readonly chip: Chip
  readonly chassis: Chassis
  readonly runs: number
}): FitRow {
  const { chip, chassis, sheets } = fit
  const [lowW, highW] = chip.measuredRangeW
  const score = chipAt(chip, chassis.sustainedW.value)?.score
  const more = sheets.length > 1 ? ` +${sheets.length - 1}` : ''
  return {
    path: sheets[0]!,
    cells: [
      more,
      chip.name,
      String(fit.runs),
      `${groupDigits(lowW, 0)} to ${groupDigits(highW, 0)}`,
      sayValue(chassis.sustainedW, '', 'power'),
      score === undefined ? '–' : sayValue(score, '', 'score'),
    ],
  }
}

/** Many fits as a table of one line each. */
export function sayFitTable(rows: readonly FitRow[], style: Style): string {
  const room = Math.max(12, style.width - OTHER_COLUMNS)
  const lines = rows.map(({ path, cells: [more = '', chip = '', ...rest] }) => [
    shortenPath(path, room - more.length) + more,
    shortenName(chip, LONGEST_NAME),
    ...rest,
  ])
  const legend =
    'Powers in W: the measured range, and the sustained power of the first sheet’s chassis with the chip’s score at it. +1: fitted together with one more sheet of the same chip and workload. Intervals: --csv, or holdwatt fit SHEET…'
  return `${plotTable(COLUMNS, lines, style)}\n\n${wrapText(legend, style.width, 2)}`
}

const COLUMNS = [
  { heading: 'sheet' },
  { heading: 'chip' },
  { heading: 'runs', align: 'right' },
  { heading: 'measured', align: 'right' },
  { heading: 'sustains', align: 'right' },
  { heading: 'score', align: 'right' },
] as const

/** Columns that the other cells, and the gaps, take at the most. */
const OTHER_COLUMNS = 59
const LONGEST_NAME = 16
