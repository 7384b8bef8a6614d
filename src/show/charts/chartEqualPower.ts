import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayEstimate, sayInterval, sayPower, sayScore, sayValue } from '../figures/sayEstimate.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { crossoverBand, crossoverLabel } from './chartCrossover.js'
import {
  type ChartLabel,
  type ChartPanel,
  fitText,
  labelLayers,
  lineLayer,
  panelSpec,
  roundLabels,
  withUnit,
  yAtPixel,
  yPixel,
} from './chartPanel.js'
import { type CurvePoints, curveLayers, curveSpan, sayScoreTick } from './chartScoreCurve.js'
import { type ChartLayer, chartSpec, LABEL_PX, Y_LABELS_PX } from './chartSpec.js'
import { chartTextWidth } from './chartTextWidth.js'
import { type ChartTheme, machineColours, machineShape } from './chartTheme.js'

/** One chip of the comparison; `position` decides its colour. */
export interface EqualPowerChip {
  readonly chip: string
  readonly position: number
  readonly curve: CurvePoints
  /** Least and greatest mean power of its runs, W. */
  readonly measuredRangeW: readonly [number, number]
  readonly runs?: readonly { readonly meanW: number; readonly score: number }[]
  /** Machines with this chip and the power that each sustains. */
  readonly machines: readonly { readonly machine: string; readonly sustainedW: number }[]
}

export interface EqualPowerChartData {
  readonly name: string
  readonly title: string
  readonly scoreUnit: string
  readonly lowerIsBetter: boolean
  readonly chips: readonly EqualPowerChip[]
  /** Score of the first over that of the second chip, in percent above 1, power rising; none unless there are two chips. */
  readonly lead: readonly { readonly powerW: number; readonly percent: Estimate }[]
  readonly crossovers: readonly { readonly between: readonly [string, string]; readonly powerW: Estimate }[]
}

/** Chips at equal power: curves with bands, the sustained power of each machine, and where the curves cross. */
export function equalPowerChart(data: EqualPowerChartData): Chart {
  const better = data.lowerIsBetter ? ' (lower is better)' : ''
  const chart = {
    title: data.title,
    subtitle: `Score in ${data.scoreUnit}${better} at the same package power in watts. Bands are 90 % intervals, dashed beyond the runs; small marks are runs, large ones the sustained power of each machine. Axes do not start at 0`,
  }
  return {
    ...chart,
    name: data.name,
    summary: [
      data.title,
      ...data.chips.map((chip) => sayChip(chip, data)),
      ...data.crossovers.map(sayCrossover),
    ].join(' '),
    table: equalPowerTable(data),
    specify: (frame) => chartSpec(chart, frame, { vconcat: equalPowerPanels(data, frame) }),
  }
}

function equalPowerPanels(data: EqualPowerChartData, frame: ChartFrame): ChartLayer[] {
  return data.lead.length > 1
    ? [scorePanel(data, frame, false), leadPanel(data, frame)]
    : [scorePanel(data, frame, true)]
}

/** Room for names right of the plot, px: as wide as the longest, within what the frame can spare. */
function nameRoom(data: EqualPowerChartData, frame: ChartFrame): number {
  const names = data.chips.map((chip) => chip.chip)
  const wished = Math.max(...names.map((name) => chartTextWidth(name, LABEL_PX, true))) + 16
  return Math.min(wished, frame.widthPx < NARROW_BELOW_PX ? 96 : 220)
}

function scorePanel(data: EqualPowerChartData, frame: ChartFrame, axis: boolean): ChartLayer {
  const { theme } = frame
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const room = nameRoom(data, frame)
  const points = data.chips.flatMap((chip) => chip.curve)
  const [low, high] = curveSpan(points)
  const panel: ChartPanel = {
    xRange: [
      Math.min(...points.map((point) => point.powerW)),
      Math.max(...points.map((point) => point.powerW)),
    ],
    yRange: [Math.max(0, low - (high - low) * 0.05), high + (high - low) * 0.12],
    widthPx: frame.widthPx - Y_LABELS_PX - room - (frame.titled ? 36 : 0),
    heightPx: narrow ? 240 : 320,
  }
  return panelSpec(panel, {
    heading: `Score, ${data.scoreUnit}`,
    xLabels: axis ? withUnit(roundLabels(panel.xRange, narrow ? 4 : 8), 'W') : null,
    yLabels: roundLabels(panel.yRange, 6, sayScoreTick),
    theme,
    layers: [
      ...data.crossovers.flatMap(({ powerW }) => [
        ...crossoverBand(powerW, panel, theme),
        ...crossoverLabel(powerW, panel, theme, narrow),
      ]),
      ...data.chips.flatMap((chip) =>
        curveLayers(chip.curve, chip.measuredRangeW, machineColours(theme, chip.position).line),
      ),
      ...data.chips.map((chip) => runDots(chip, theme)),
      ...data.chips.flatMap((chip) => sustainedDots(chip, panel, theme)),
      ...labelLayers(endLabels(data.chips, panel, theme, room), theme, { bold: true, dx: 8 }),
    ],
  })
}

/** How far the first chip is ahead of the second at each power: what the eye can't read off two close curves. */
function leadPanel(data: EqualPowerChartData, frame: ChartFrame): ChartLayer {
  const { theme } = frame
  const narrow = frame.widthPx < NARROW_BELOW_PX
  const [first, second] = data.chips as readonly [EqualPowerChip, EqualPowerChip]
  const points = data.chips.flatMap((chip) => chip.curve.map((point) => point.powerW))
  const [least, most] = curveSpan(data.lead.map(({ powerW, percent }) => ({ powerW, score: percent })))
  const ends = [least, most, 0]
  const margin = (Math.max(...ends) - Math.min(...ends)) * 0.08
  const panel: ChartPanel = {
    xRange: [Math.min(...points), Math.max(...points)],
    yRange: [Math.min(...ends) - margin, Math.max(...ends) + margin],
    widthPx: frame.widthPx - Y_LABELS_PX - nameRoom(data, frame) - (frame.titled ? 36 : 0),
    heightPx: narrow ? 100 : 110,
  }
  const values = data.lead.map(({ powerW, percent }) => ({ x: powerW, y: percent.low, y2: percent.high }))
  const zero = panel.xRange.map((x) => ({ x, y: 0 }))
  return panelSpec(panel, {
    heading: narrow ? 'Lead of the first, %' : `${first.chip} over ${second.chip} at equal power, %`,
    xLabels: withUnit(roundLabels(panel.xRange, narrow ? 4 : 8), 'W'),
    yLabels: roundLabels(panel.yRange, 5, (value) => `${value > 0 ? '+' : ''}${value}`.replace('-', '−')),
    theme,
    layers: [
      ...data.crossovers.flatMap(({ powerW }) => crossoverBand(powerW, panel, theme)),
      {
        data: { values },
        mark: { type: 'area', color: theme.faint, opacity: 0.22, clip: true },
        encoding: { y2: { field: 'y2' } },
      },
      lineLayer(zero, { color: theme.ink, strokeWidth: 1 }),
      lineLayer(
        data.lead.map(({ powerW, percent }) => ({ x: powerW, y: percent.value })),
        { color: theme.ink, strokeWidth: 2.5 },
      ),
    ],
  })
}

function runDots({ runs = [], position }: EqualPowerChip, theme: ChartTheme): ChartLayer {
  const mark = { type: 'point', filled: true, size: 30, stroke: theme.background, strokeWidth: 1, opacity: 1 }
  return {
    data: { values: runs.map((run) => ({ x: run.meanW, y: run.score })) },
    mark: { ...mark, color: machineColours(theme, position).line, shape: machineShape(position) },
  }
}

function sustainedDots(chip: EqualPowerChip, panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const { line, text } = machineColours(theme, chip.position)
  const dots = chip.machines.flatMap(({ machine, sustainedW }) => {
    const y = scoreAt(chip.curve, sustainedW)
    return y === undefined ? [] : [{ x: sustainedW, y, text: machine, colour: text }]
  })
  const mark = {
    type: 'point',
    filled: true,
    size: 130,
    shape: machineShape(chip.position),
    color: line,
    stroke: theme.background,
    strokeWidth: 2,
  }
  const middle = (panel.xRange[0] + panel.xRange[1]) / 2
  const left = dots.filter((dot) => dot.x >= middle)
  const right = dots.filter((dot) => dot.x < middle)
  return [
    { data: { values: dots }, mark: { ...mark, opacity: 1 } },
    ...labelLayers(left, theme, { align: 'right', baseline: 'bottom', dx: -6, dy: -6 }),
    ...labelLayers(right, theme, { align: 'left', baseline: 'top', dx: 6, dy: 8 }),
  ]
}

const LINE_PX = LABEL_PX + 5

/** Names at the right ends of the curves, pushed apart until none covers another. */
function endLabels(
  chips: readonly EqualPowerChip[],
  panel: ChartPanel,
  theme: ChartTheme,
  roomPx: number,
): ChartLabel[] {
  const ends = chips
    .map((chip) => ({ chip, last: chip.curve.at(-1)! }))
    .sort((a, b) => b.last.score.value - a.last.score.value)
  let lowestFree = Number.NEGATIVE_INFINITY
  return ends.map(({ chip, last }) => {
    const wished = yPixel(panel, last.score.value)
    const pixel = Math.max(wished, lowestFree)
    lowestFree = pixel + LINE_PX
    return {
      x: panel.xRange[1],
      y: yAtPixel(panel, pixel),
      text: fitText(chip.chip, roomPx - 12, true),
      colour: machineColours(theme, chip.position).text,
    }
  })
}

/** Linear between the points of the curve; undefined outside it. */
function scoreAt(curve: CurvePoints, powerW: number): number | undefined {
  const after = curve.findIndex((point) => point.powerW >= powerW)
  if (after === -1) return undefined
  const right = curve[after]!
  if (after === 0) return right.powerW === powerW ? right.score.value : undefined
  const left = curve[after - 1]!
  const share = (powerW - left.powerW) / (right.powerW - left.powerW)
  return left.score.value + share * (right.score.value - left.score.value)
}

function sayChip(chip: EqualPowerChip, data: EqualPowerChartData): string {
  const first = chip.curve[0]!
  const last = chip.curve.at(-1)!
  return `${chip.chip} scores ${sayScore(first.score, data.scoreUnit)} at ${sayPower(first.powerW)} and ${sayScore(last.score, data.scoreUnit)} at ${sayPower(last.powerW)}.`
}

function sayCrossover(crossover: EqualPowerChartData['crossovers'][number]): string {
  return `${crossover.between[0]} and ${crossover.between[1]} cross at ${sayEstimate(crossover.powerW, 'W')}.`
}

function equalPowerTable(data: EqualPowerChartData): Chart['table'] {
  const columns = ['Power', ...data.chips.flatMap((chip) => [chip.chip, '90 % interval'])]
  const powers = [...new Set(data.chips.flatMap((chip) => chip.curve.map((point) => point.powerW)))].sort(
    (a, b) => a - b,
  )
  const step = Math.max(1, Math.round(powers.length / 10))
  const rows = powers
    .filter((_, index) => index % step === 0)
    .map((powerW) => [
      sayPower(powerW),
      ...data.chips.flatMap((chip) => {
        const point = chip.curve.find((candidate) => candidate.powerW === powerW)
        return point ? [sayValue(point.score, '', 'score'), sayInterval(point.score, 'score')] : ['–', '–']
      }),
    ])
  return { columns, rows }
}
