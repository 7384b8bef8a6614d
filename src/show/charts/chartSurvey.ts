import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { capitalised } from '../figures/capitalised.js'
import type { FigureKind } from '../figures/digits.js'
import {
  sayCount,
  sayEstimate,
  sayGivenPower,
  sayInterval,
  sayScore,
  sayValue,
} from '../figures/sayEstimate.js'
import { machineName } from '../terminal/saySurvey.js'
import { heldByNames } from '../text/heldByWords.js'
import { headlineOfSurvey } from '../text/surveyHeadline.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { heldByColours } from './chartHeldBy.js'
import {
  type AxisLabels,
  type ChartPanel,
  fitText,
  labelLayers,
  panelSpec,
  roundLabels,
  withUnit,
} from './chartPanel.js'
import { sayScoreTick } from './chartScoreCurve.js'
import { type ChartLayer, chartSpec, LABEL_PX, Y_LABELS_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import type { ChartTheme } from './chartTheme.js'

/** A line of the chart: a name, an estimate, and a word behind its figure. */
interface ChartRow {
  readonly name: string
  readonly estimate: Estimate
  readonly kind: FigureKind
  readonly note: string
  readonly line: string
  readonly text: string
}

const ROW_PX = 26

/** The score of every chip at equal power, and what power every chassis sustains: two lists of estimates. */
export function surveyChart(survey: WorkloadSurvey, name: string): Chart {
  const { workload, atW } = survey
  const better = workload.better === 'lower' ? ' (lower is better)' : ''
  const what =
    atW === null
      ? 'Sustained power in watts'
      : `Score in ${workload.score}${better} at ${sayGivenPower(atW)} by chip, and sustained package power by machine`
  const chart = {
    title: headlineOfSurvey(survey),
    subtitle: `${capitalised(workload.name)}. ${what}. Bars are 90 % intervals. Axes do not start at 0`,
  }
  return {
    ...chart,
    name,
    summary: saySummary(survey, chart.title),
    table: surveyTable(survey),
    specify: (frame) => chartSpec(chart, frame, { vconcat: surveyPanels(survey, frame) }),
  }
}

function surveyPanels(survey: WorkloadSurvey, frame: ChartFrame): ChartLayer[] {
  const { theme } = frame
  const { atW, workload } = survey
  const chips = survey.chips.flatMap(({ chip, score, machines, extrapolated }): ChartRow[] => {
    if (score === null) return []
    const note = extrapolated ? 'extrapolated' : sayCount(machines, 'machine')
    return [{ name: chip, estimate: score, kind: 'score', note, line: theme.ink, text: theme.faint }]
  })
  const machines = survey.machines.map((machine): ChartRow => {
    const colours = heldByColours(theme, machine.heldBy ?? 'undetermined')
    const cause = machine.heldBy === null ? 'noted by hand' : heldByNames[machine.heldBy]
    const note = machine.reached === false ? 'not settled' : cause
    return { name: machineName(machine), estimate: machine.sustainedW, kind: 'power', note, ...colours }
  })
  const lists = [
    {
      heading: `Score at ${sayGivenPower(atW ?? 0)}, ${workload.score}`,
      rows: chips,
      say: sayScoreTick,
      unit: '',
    },
    { heading: 'Sustained power, W', rows: machines, say: sayWatts, unit: 'W' },
  ].filter(({ rows }) => rows.length > 0)
  const all = [...chips, ...machines]
  return lists.map((list) => listPanel(list, columnsFor(all, frame), frame))
}

interface ChartColumns {
  readonly namePx: number
  readonly notePx: number
}

/** Room for names and figures, the same in both lists, so that their scales stand under each other. */
function columnsFor(rows: readonly ChartRow[], frame: ChartFrame): ChartColumns {
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const names = Math.max(...rows.map(({ name }) => chartTextWidth(name, LABEL_PX, true)))
  const figures = Math.max(...rows.map((row) => chartTextWidth(figureOf(row, narrow), LABEL_PX)))
  return {
    namePx: Math.min(names + 12, frame.widthPx * 0.3),
    notePx: Math.min(figures + 14, frame.widthPx * 0.4),
  }
}

function listPanel(
  list: {
    readonly heading: string
    readonly rows: readonly ChartRow[]
    readonly say: (value: number) => string
    readonly unit: string
  },
  columns: ChartColumns,
  frame: ChartFrame,
): ChartLayer {
  const { theme } = frame
  const { rows, heading, say, unit } = list
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const scale = scaleOf(rows)
  const plotPx = frame.widthPx - columns.namePx - columns.notePx - (frame.titled ? 36 : 0)
  // Names stand left of the scale, partly where the labels of y would be.
  const leftPx = Math.max(0, columns.namePx - Y_LABELS_PX)
  const perPixel = (scale[1] - scale[0]) / plotPx
  const panel: ChartPanel = {
    xRange: [scale[0] - leftPx * perPixel, scale[1]],
    yRange: [-rows.length + 0.4, 0.6],
    widthPx: plotPx + leftPx,
    heightPx: rows.length * ROW_PX,
  }
  const labels = roundLabels(scale, narrow ? 3 : 6, say)
  const places = rows.map((row, index) => ({ ...row, y: -index }))
  return panelSpec(panel, {
    heading,
    xLabels: unit === '' ? labels : withUnit(labels, unit),
    yLabels: NO_LABELS,
    theme,
    layers: [
      ...gridLayers(labels, panel, theme),
      ...barLayers(places, theme),
      ...labelLayers(
        places.map(({ name, y }) => ({
          x: panel.xRange[0],
          y,
          text: fitText(name, columns.namePx - 8, true),
          colour: theme.ink,
        })),
        theme,
        { dx: -Y_LABELS_PX, bold: true },
      ),
      ...labelLayers(
        places.map((row) => ({
          x: panel.xRange[1],
          y: row.y,
          text: fitText(figureOf(row, narrow), columns.notePx - 8),
          colour: row.text,
        })),
        theme,
        { dx: 12 },
      ),
    ],
  })
}

const NO_LABELS: AxisLabels = { values: [], texts: [] }

/** All intervals with a margin; a single exact figure gets a scale around it. */
function scaleOf(rows: readonly ChartRow[]): readonly [number, number] {
  const low = Math.min(...rows.map(({ estimate }) => estimate.low))
  const high = Math.max(...rows.map(({ estimate }) => estimate.high))
  const margin = Math.max((high - low) * 0.06, Math.abs(high) * 0.01)
  return [low - margin, high + margin]
}

/** Upright lines at the labels: the eye follows them through many rows. */
function gridLayers(labels: AxisLabels, panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const [y, y2] = panel.yRange
  return [
    {
      data: { values: labels.values.map((x) => ({ x, y, y2 })) },
      mark: { type: 'rule', color: theme.grid, strokeWidth: 1 },
      encoding: { y2: { field: 'y2' } },
    },
  ]
}

function barLayers(rows: readonly (ChartRow & { readonly y: number })[], theme: ChartTheme): ChartLayer[] {
  const values = rows.map(({ estimate, y, line }) => {
    return { x: estimate.low, x2: estimate.high, at: estimate.value, y, line }
  })
  const color = { field: 'line', type: 'nominal', scale: null }
  return [
    {
      data: { values },
      mark: { type: 'rule', strokeWidth: 4, opacity: 0.45 },
      encoding: { x2: { field: 'x2' }, color },
    },
    {
      data: { values: values.map(({ at, y, line }) => ({ x: at, y, line })) },
      mark: { type: 'point', filled: true, size: 90, opacity: 1, stroke: theme.background, strokeWidth: 1 },
      encoding: { fill: color },
    },
  ]
}

function figureOf({ estimate, kind, note }: ChartRow, narrow: boolean): string {
  return narrow ? sayValue(estimate, '', kind) : `${sayEstimate(estimate, '', kind)}, ${note}`
}

function sayWatts(value: number): string {
  return String(Number(value.toPrecision(6)))
}

function saySummary({ atW, chips, machines, workload }: WorkloadSurvey, title: string): string {
  const scores = chips.flatMap(({ chip, score }) =>
    score === null ? [] : [`${chip} scores ${sayScore(score, workload.score)} at ${sayGivenPower(atW!)}.`],
  )
  const held = machines.map(
    (machine) => `${machineName(machine)} sustains ${sayEstimate(machine.sustainedW, 'W')}.`,
  )
  return [`${title}.`, ...scores, ...held].join(' ')
}

function surveyTable({ machines, atW }: WorkloadSurvey): Chart['table'] {
  const at = atW === null ? [] : [`Score at ${sayGivenPower(atW)}`, '90 % interval']
  return {
    columns: ['Machine', 'Chip', 'Sustained power, W', '90 % interval', ...at],
    rows: machines.map((machine) => [
      machineName(machine),
      machine.chip,
      sayValue(machine.sustainedW, '', 'power'),
      sayInterval(machine.sustainedW, 'power'),
      ...(atW === null
        ? []
        : machine.score
          ? [sayValue(machine.score, '', 'score'), sayInterval(machine.score, 'score')]
          : ['–', '–']),
    ]),
  }
}
