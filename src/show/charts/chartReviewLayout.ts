import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayEstimate, sayValue } from '../figures/sayEstimate.js'
import type { ChartFrame, ChartTable } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { LABEL_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import { type ChartTheme, machineColours } from './chartTheme.js'

/** How much faster one machine is than another in every workload, in percent, as tested and at equal power. */
export interface ReviewChartData {
  readonly name: string
  readonly title: string
  readonly first: string
  readonly second: string
  /** Places of the two machines in the order they were named: decide the colours. */
  readonly positions: readonly [number, number]
  readonly rows: readonly ReviewChartRow[]
  readonly table: ChartTable
}

export interface ReviewChartRow {
  readonly name: string
  /** What the mark at equal power is called, where that is not the same. */
  readonly secondName?: string
  readonly asTested: Estimate
  /** Null where the power of one machine is not known. */
  readonly atEqualPower: Estimate | null
  /** Whether it is the mean over the others. */
  readonly isMean: boolean
}

/** One mark with its place from the top, px. */
interface ReviewMark {
  readonly y: number
  readonly percent: Estimate
  readonly isTested: boolean
  readonly line: string
  /** What stands beside it, and in which colour. */
  readonly figure: string
  readonly text: string
}

const LINE_PX = 21
export const GAP_PX = 11
/** Over the first row, where it is said which side is whose. */
export const TOP_PX = 24

export interface ReviewLayout {
  readonly narrow: boolean
  readonly rowPx: number
  readonly namePx: number
  readonly figurePx: number
  readonly marks: readonly ReviewMark[]
  /** Where a mark is missing, as the power is not known. */
  readonly powerless: readonly number[]
  readonly names: readonly { readonly y: number; readonly text: string; readonly isMean: boolean }[]
}

/** Whether the power of both machines is known in any row. */
export function isPowered({ rows }: ReviewChartData): boolean {
  return rows.some(({ atEqualPower }) => atEqualPower !== null)
}

/** Where names, marks and figures of a chart stand. */
export function reviewLayout(data: ReviewChartData, frame: ChartFrame): ReviewLayout {
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const nameLines = narrow ? 1 : 0
  const rowPx = ((isPowered(data) ? 2 : 1) + nameLines) * LINE_PX + GAP_PX
  const marks = data.rows.flatMap((row, index) => {
    const y = TOP_PX + index * rowPx + nameLines * LINE_PX
    return [
      markOf(row.asTested, { y: y + LINE_PX / 2, isTested: true, narrow }, data, frame.theme),
      ...(row.atEqualPower === null
        ? []
        : [markOf(row.atEqualPower, { y: y + 1.5 * LINE_PX, isTested: false, narrow }, data, frame.theme)]),
    ]
  })
  const widest = Math.max(...data.rows.map(({ name, isMean }) => chartTextWidth(name, LABEL_PX, isMean)))
  return {
    narrow,
    rowPx,
    namePx: narrow ? 0 : Math.min(widest + 14, frame.widthPx * 0.26),
    figurePx: Math.max(...marks.map(({ figure }) => chartTextWidth(figure, LABEL_PX))) + 14,
    marks,
    powerless: data.rows.flatMap(({ atEqualPower }, index) =>
      atEqualPower === null && isPowered(data) ? [TOP_PX + index * rowPx + (nameLines + 1.5) * LINE_PX] : [],
    ),
    names: data.rows.flatMap((row, index) => {
      const topPx = TOP_PX + index * rowPx
      return isPowered(data) ? namesOf(row, topPx, narrow) : [nameAt(row, topPx + LINE_PX / 2)]
    }),
  }
}

/** The name between its two marks; where each has one of its own, beside its mark; over both where there is no room. */
function namesOf(row: ReviewChartRow, topPx: number, narrow: boolean): ReviewLayout['names'] {
  const { name, secondName } = row
  if (narrow) {
    const text = secondName === undefined ? name : `${name}, ${secondName}`
    return [nameAt({ ...row, name: text }, topPx + LINE_PX / 2)]
  }
  if (secondName === undefined) return [nameAt(row, topPx + LINE_PX)]
  return [nameAt(row, topPx + LINE_PX / 2), nameAt({ ...row, name: secondName }, topPx + LINE_PX * 1.5)]
}

function nameAt({ name, isMean }: ReviewChartRow, y: number): ReviewLayout['names'][number] {
  return { y, text: name, isMean }
}

/** A mark in the colour of the machine that is surely ahead; gray where neither is. */
function markOf(
  percent: Estimate,
  { y, isTested, narrow }: { readonly y: number; readonly isTested: boolean; readonly narrow: boolean },
  { positions }: ReviewChartData,
  theme: ChartTheme,
): ReviewMark {
  const what = isTested ? 'as tested' : 'equal power'
  const figure = signed(narrow ? sayValue(percent, '%') : sayEstimate(percent, '%'), percent)
  const ahead = percent.low > 0 ? positions[0] : percent.high < 0 ? positions[1] : null
  const colours =
    ahead === null ? { line: theme.undetermined, text: theme.undeterminedText } : machineColours(theme, ahead)
  return { y, percent, isTested, figure: narrow ? figure : `${figure} ${what}`, ...colours }
}

/** Ends of the scale, per cent, and whether an interval ends outside. */
export function rangeOf({ rows }: ReviewChartData): {
  readonly range: readonly [number, number]
  readonly isCut: boolean
} {
  const inside = rows.flatMap(({ asTested, atEqualPower }) => [
    ...[asTested.low, asTested.high],
    ...(atEqualPower === null ? [] : [atEqualPower.value]),
  ])
  const [low, high] = [Math.min(0, ...inside), Math.max(0, ...inside)]
  const reach = Math.max(LEAST_REACH_PCT, (high - low) * REACH)
  const ends = rows.flatMap(({ atEqualPower: of }) => (of === null ? [] : [of.low, of.high]))
  const far = [Math.min(low, ...ends), Math.max(high, ...ends)] as const
  const range = [Math.max(far[0], low - reach), Math.min(far[1], high + reach)] as const
  const margin = Math.max(LEAST_MARGIN_PCT, (range[1] - range[0]) * 0.04)
  return { range: [range[0] - margin, range[1] + margin], isCut: far[0] < range[0] || far[1] > range[1] }
}

/** How far intervals at equal power may widen the scale on each side, in lengths of what was measured: wider ones would flatten that. */
const REACH = 0.6
const LEAST_REACH_PCT = 5
const LEAST_MARGIN_PCT = 0.2

/** A difference with its sign, also where it is more. */
export function signed(text: string, { value }: Estimate): string {
  return value > 0 && !/^0[ \u00a0]/.test(text) ? `+${text}` : text
}
