import type { ChartTheme } from './chartTheme.js'

/** A chart before it is drawn: what it says in words and numbers, and how to specify it for a width and a theme. */
export interface Chart {
  /** Stem of its file name: lower-case letters, digits and hyphens. */
  readonly name: string
  /** The finding, as a headline. */
  readonly title: string
  /** What is drawn, with units. */
  readonly subtitle: string
  /** The text equivalent: what a reader would see, in sentences. */
  readonly summary: string
  readonly table: ChartTable
  /** What labels have no room for on a small screen, a line each. */
  readonly notes?: readonly string[]
  /** Gives its Vega-Lite specification, whose types come with a package that may be left out. */
  readonly specify: (frame: ChartFrame) => object
}

/** The numbers of a chart, worded. The first column names the row. */
export interface ChartTable {
  readonly columns: readonly string[]
  readonly rows: readonly (readonly string[])[]
}

/** Where a chart will stand. */
export interface ChartFrame {
  /** Logical width, px: text is 14 px whatever the width. */
  readonly widthPx: number
  readonly theme: ChartTheme
  /** Whether title and subtitle are part of the picture; in the page they stand above it. */
  readonly titled: boolean
}

/** Frames narrower than this leave out what a small screen has no room for. */
export const NARROW_BELOW_PX = 520
