import type { Estimate } from '../../numeric/statistics/estimate.js'
import { type FigureKind, kindOfUnit, supportedDecimals } from '../figures/digits.js'

/** What stands in one place of a table: an estimate takes three columns, its value and both ends of its interval. */
export type DataCell = Estimate | number | string | null

/** One column: a name in the field's words and, for a measured figure, its unit. */
export interface DataColumn<Row> {
  readonly name: string
  readonly unit?: string
  /** Whether it holds estimates, and so takes three columns in every table, also where none is known. */
  readonly interval?: true
  /** What the figures measure, which decides how fine they are; by the unit where it is left out. */
  readonly kind?: FigureKind
  readonly of: (row: Row) => DataCell
}

/** A table to take out of the tool: plain numbers, with intervals as columns of their own. */
export interface DataTable {
  readonly title: string
  readonly headings: readonly string[]
  readonly rows: readonly (readonly (string | number)[])[]
  /** Which columns hold numbers, and so line up on the right. */
  readonly numeric: readonly boolean[]
}

/**
 * Makes a table from rows of results.
 *
 * A column of estimates becomes three: `NAME (UNIT)`, `NAME low`, `NAME high`. Numbers are rounded to the digits that
 * their interval supports, as everywhere in the tool's text; a figure that is not known is an empty cell.
 *
 * @param rows - one result a row; equal in kind
 */
export function dataTable<Row>(
  title: string,
  rows: readonly Row[],
  columns: readonly DataColumn<Row>[],
): DataTable {
  const cells = columns.map((column) => rows.map(column.of))
  const wide = columns.map((column) => column.interval === true)
  return {
    title,
    headings: columns.flatMap((column, index) => headings(column, wide[index]!)),
    rows: rows.map((_, row) =>
      cells.flatMap((column, index) => written(column[row]!, wide[index]!, kindOfColumn(columns[index]!))),
    ),
    numeric: cells.flatMap((column, index) => {
      const isNumeric = wide[index] || column.some((cell) => typeof cell === 'number')
      return wide[index] ? [true, true, true] : [isNumeric === true]
    }),
  }
}

function kindOfColumn({ kind, unit }: Pick<DataColumn<never>, 'kind' | 'unit'>): FigureKind {
  return kind ?? kindOfUnit(unit ?? '')
}

function headings(
  { name, unit }: { readonly name: string; readonly unit?: string },
  wide: boolean,
): string[] {
  const whole = unit === undefined || unit === '' ? name : `${name} (${unit})`
  return wide ? [whole, `${name} low`, `${name} high`] : [whole]
}

function written(cell: DataCell, wide: boolean, kind: FigureKind): (string | number)[] {
  if (isEstimate(cell)) return roundedInterval(cell, kind).slice(0, wide ? 3 : 1)
  return wide ? [cell ?? '', '', ''] : [cell ?? '']
}

/** The middle to the nearest step of the last supported digit, ends outwards, so that no interval gets narrower. */
function roundedInterval(estimate: Estimate, kind: FigureKind): (string | number)[] {
  const { value, low, high } = estimate
  const decimals = supportedDecimals(estimate, kind)
  return [rounded(value, decimals, Math.round), rounded(low, decimals, down), rounded(high, decimals, up)]
}

// Keeps 43.9 at 43.9 when binary fractions put it at 43.900000000000006.
const SLACK = 1e-9
const down = (value: number) => Math.floor(value + SLACK)
const up = (value: number) => Math.ceil(value - SLACK)

function rounded(value: number, decimals: number, round: (value: number) => number): number | string {
  if (!Number.isFinite(value)) return ''
  const step = 10 ** -decimals
  return Number((round(value / step) * step).toFixed(Math.min(12, Math.max(0, decimals)))) + 0
}

function isEstimate(cell: DataCell | undefined): cell is Estimate {
  return typeof cell === 'object' && cell !== null
}
