import { InputError } from '../../errors.js'
import type { Unit } from '../../units.js'
import type { Formula } from '../formula/compileFormula.js'
import type { Exponents } from '../formula/exponentsOf.js'
import type { ReasonBits } from '../reasons/reasonBits.js'
import { unitInCell } from '../table/cellParser.js'
import type { Column } from '../table/describeColumn.js'
import type { ElectricUnit } from '../table/electricUnit.js'
import type { Header } from '../table/findHeader.js'
import type { Wanted } from './chooseColumn.js'

/** A column that a formula reads; without a unit its numbers are taken as they stand. */
export interface FormulaInput {
  readonly column: Column
  readonly unit: Unit | ElectricUnit | undefined
}

/** A formula with the columns of a table in the place of its names. */
export interface BoundFormula {
  readonly formula: Formula
  readonly inputs: readonly FormulaInput[]
  /** Exponents of its value's unit. */
  readonly exponents: Exponents
  /** A column without a unit was taken to be in W, so that the formula has a sense. */
  readonly isAssumed: boolean
}

/** A column with the unit that its numbers are in. */
export interface MeasuredColumn {
  readonly column: Column
  readonly unit: Unit
  /** The other columns of a numbered family: the hottest core counts, and the mean of the clocks. */
  readonly siblings?: readonly Column[]
  /** What the numbers are worked out from, where `column` is a formula over others. */
  readonly formula?: BoundFormula
}

/** Numbers that are taken as they stand. */
export const AS_WRITTEN = { symbol: '', dimension: 'share', scale: 1, offset: 0 } as const

/** What a column besides time and power tells; `sensor` is a temperature beside the chosen one. */
export type Quantity =
  | 'temperature'
  | 'sensor'
  | 'clock'
  | 'limit'
  | 'use'
  | 'rate'
  | 'processor'
  | 'graphics'
  | 'reasons'

export interface SeriesColumn extends MeasuredColumn {
  readonly quantity: Quantity
  /** Names of a mask's bits, of a column of reasons. */
  readonly bits?: ReasonBits | undefined
}

/** Columns of some dimensions that hold numbers, by the unit in the header or else in the cells. */
export function measuredColumns(header: Header, dimensions: readonly Unit['dimension'][]): MeasuredColumn[] {
  const found: MeasuredColumn[] = []
  for (const column of header.columns) {
    if (column.unit !== undefined && !dimensions.includes(column.unit.dimension)) continue
    if (!holdsNumbers(header, column)) continue
    const unit = column.unit ?? unitOfCells(header, column, dimensions)
    if (unit !== undefined) found.push({ column, unit })
  }
  return found
}

export function holdsNumbers(header: Header, column: Column): boolean {
  return header.rows.some((row) => /\d/.test(row[column.index] ?? ''))
}

/** The first unit of these dimensions in the cells of the head. */
export function unitOfCells(
  header: Header,
  column: Column,
  dimensions: readonly Unit['dimension'][],
): Unit | undefined {
  for (const row of header.rows) {
    for (const dimension of dimensions) {
      const unit = unitInCell(row[column.index] ?? '', dimension)
      if (unit !== undefined) return unit
    }
  }
  return undefined
}

export function wrongUnit(wanted: Wanted, column: Column, needed: string): InputError {
  const came = column.unit === undefined ? 'no unit' : column.unit.symbol
  return new InputError(
    'column-unit',
    `expected a ${wanted} column in ${needed}, got "${column.header}" in ${came}`,
    {
      remedy: `choose another with --${wanted} "NAME", or name the unit in the header`,
    },
  )
}

/** The column as it is told: a family as its first one, with how many more there are and what is made of them. */
export function familyName({
  column,
  siblings,
  quantity,
}: MeasuredColumn & { readonly quantity?: string }): string {
  if (siblings === undefined) return column.header
  return `${column.header} and ${siblings.length} more (${FAMILY[quantity ?? ''] ?? 'mean'})`
}

const FAMILY: { readonly [quantity: string]: string } = {
  temperature: 'hottest',
  sensor: 'hottest',
  reasons: 'together',
}
