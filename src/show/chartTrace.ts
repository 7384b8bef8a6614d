import type { Trace } from '../log/trace.js'
import type { Load, Stage } from '../segment/load.js'
import type { Chart, ChartFrame } from './chart.js'
import { NARROW_BELOW_PX } from './chart.js'
import { HELD_BY_WORDS, heldByColours } from './chartHeldBy.js'
import {
  type AxisLabels,
  type ChartLabel,
  type ChartPanel,
  labelLayers,
  lineLayer,
  panelSpec,
  roundLabels,
  withUnit,
  xPixel,
} from './chartPanel.js'
import { type ChartLayer, chartSpec, Y_LABELS_PX } from './chartSpec.js'
import { placeStageLabels } from './chartStageLabels.js'
import type { ChartTheme } from './chartTheme.js'
import { thinTrace } from './chartThinTrace.js'
import { roundTimeTicks } from './roundTicks.js'
import { sayDuration, sayMoment } from './sayDuration.js'
import { groupDigits, sayInterval, sayValue } from './sayEstimate.js'

/** What a trace chart shows: one trial of one machine. */
export interface TraceChartData {
  readonly name: string
  readonly machine: string
  readonly title: string
  readonly trace: Pick<Trace, 'timesS' | 'powerW' | 'temperatureC'>
  readonly loads: readonly Load[]
  readonly scoredRuns: readonly { readonly startS: number; readonly endS: number; readonly score: number }[]
  /** Unit of the score. */
  readonly scoreUnit: string
  readonly ceilingC: number | null
  /** Seconds of the log that are drawn; all of it when left out. */
  readonly windowS?: readonly [number, number]
}

/**
 * Power with its stages, fitted levels and decays and what held it; temperature and the score of each run under it
 * on the same time axis.
 */
export function traceChart(data: TraceChartData): Chart {
  const parts = [
    'package power in watts with the fitted stages, coloured by what held the power',
    ...(data.trace.temperatureC ? ['temperature in degrees Celsius'] : []),
    ...(data.scoredRuns.length > 0 ? [`score of each run in ${data.scoreUnit}`] : []),
  ]
  const chart = {
    title: data.title,
    subtitle: `${data.machine}: ${parts.join('; ')}`,
  }
  return {
    ...chart,
    name: data.name,
    summary: `${data.title} ${data.loads.map(sayLoadInWords).join(' ')}`,
    table: stageTable(data.loads),
    specify: (frame) => chartSpec(chart, frame, { vconcat: tracePanels(data, frame) }),
  }
}

function tracePanels(data: TraceChartData, frame: ChartFrame): ChartLayer[] {
  const { theme, widthPx } = frame
  const narrow = widthPx < NARROW_BELOW_PX
  const [startS, endS] = windowOf(data)
  const plotPx = widthPx - Y_LABELS_PX - 28 - (frame.titled ? 36 : 0)
  const xLabels = timeLabels(startS, endS, narrow ? 4 : 8)
  const specs: ((last: boolean) => ChartLayer)[] = [
    (last) => powerPanel(data, { theme, plotPx, narrow }, last ? xLabels : null),
  ]
  const { temperatureC } = data.trace
  if (temperatureC) {
    const values = { timesS: data.trace.timesS, values: temperatureC }
    specs.push((last) => temperaturePanel(data, values, { theme, plotPx, narrow }, last ? xLabels : null))
  }
  const visible = data.scoredRuns.filter((run) => run.endS > startS && run.startS < endS)
  const hasRuns = visible.length > (data.windowS ? 1 : 0)
  if (hasRuns) specs.push((last) => scorePanel(data, { theme, plotPx, narrow }, last ? xLabels : null))
  return specs.map((spec, index) => spec(index === specs.length - 1))
}

function windowOf(data: TraceChartData): readonly [number, number] {
  return data.windowS ?? [0, data.trace.timesS.at(-1) ?? 1]
}

interface PanelFrame {
  readonly theme: ChartTheme
  readonly plotPx: number
  readonly narrow: boolean
}

function powerPanel(data: TraceChartData, frame: PanelFrame, xLabels: AxisLabels | null): ChartLayer {
  const { theme } = frame
  const { timesS, powerW } = data.trace
  const stages = data.loads.flatMap((load) => load.stages)
  const top = Math.max(maximum(powerW), ...stages.map((stage) => stage.levelW.value))
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [0, top * (frame.narrow ? 1.3 : 1.12)],
    widthPx: frame.plotPx,
    heightPx: frame.narrow ? 220 : 280,
  }
  const raw = thinTrace({ timesS, values: powerW }, panel)
  const labels = placeStageLabels(
    chosenStages(data.loads).filter((stage) => overlaps(stage, panel)),
    raw,
    panel,
    {
      short: frame.narrow,
      say: (stage) => heldByColours(theme, stage.heldBy.label).text,
    },
  )
  return panelSpec(panel, {
    heading: 'Package power, W',
    xLabels,
    yLabels: roundLabels(panel.yRange, 5),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      lineLayer(raw, { color: theme.raw, strokeWidth: 1, strokeJoin: 'round' }),
      ...stages.filter((stage) => overlaps(stage, panel)).map((stage) => stageLine(stage, panel, theme)),
      ...settledRules(data.loads, theme),
      ...labelLayers(labels, theme, { bold: true }),
    ],
  })
}

/** Hairlines where a stage begins, through every panel, so that the eye can follow an edge down. */
function stageEdges(loads: readonly Load[], panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const edges = loads
    .flatMap((load) => load.stages.slice(1).map((stage) => stage.startS))
    .filter((startS) => startS > panel.xRange[0] && startS < panel.xRange[1])
  const values = edges.map((x) => ({ x, y: panel.yRange[0], y2: panel.yRange[1] }))
  const mark = { type: 'rule', color: theme.faint, strokeDash: [1, 3], strokeWidth: 1 }
  return values.length === 0 ? [] : [{ data: { values }, mark, encoding: { y2: { field: 'y2' } } }]
}

function overlaps(stage: Stage, panel: ChartPanel): boolean {
  return stage.endS > panel.xRange[0] && stage.startS < panel.xRange[1]
}

const DECAY_POINTS = 60

function stageLine(stage: Stage, panel: ChartPanel, theme: ChartTheme): ChartLayer {
  const color = heldByColours(theme, stage.heldBy.label).line
  const { startS, endS, decay, levelW } = stage
  if (!decay || stage.shape === 'level') {
    const level = levelW.value
    return lineLayer(
      [
        { x: startS, y: level },
        { x: endS, y: level },
      ],
      { color, strokeWidth: 3 },
    )
  }
  const toward = decay.towardW.value
  const points = Array.from({ length: DECAY_POINTS + 1 }, (_, index) => {
    // Closer together where the curve bends: evenly spaced in the square root of time.
    const after = (endS - startS) * (index / DECAY_POINTS) ** 2
    return { x: startS + after, y: toward + (decay.fromW - toward) * Math.exp(-after / decay.tauS.value) }
  }).filter((point) => point.x <= panel.xRange[1])
  return lineLayer(points, { color, strokeWidth: 3 })
}

/** Where a load that ended too early was heading: its extrapolated level as a dashed line. */
function settledRules(loads: readonly Load[], theme: ChartTheme): ChartLayer[] {
  return loads
    .filter((load) => !load.sustained.reached && load.stages.some((stage) => stage.decay))
    .map((load) => {
      const y = load.sustained.levelW.value
      const last = load.stages.at(-1)!
      return lineLayer(
        [
          { x: last.startS, y },
          { x: load.endS, y },
        ],
        {
          color: heldByColours(theme, last.heldBy.label).line,
          strokeDash: [3, 4],
          strokeWidth: 1.5,
        },
      )
    })
}

/** More labels than these would bury the trace; the table has all. */
const MOST_LABELS = 4

/** All stages when they are few; else the first two and the longest of the others. */
function chosenStages(loads: readonly Load[]): Stage[] {
  const all = loads.flatMap((load) => load.stages)
  if (all.length <= MOST_LABELS) return all
  const lastsS = (stage: Stage) => stage.endS - stage.startS
  const longest = all.slice(2).reduce((best, stage) => (lastsS(stage) > lastsS(best) ? stage : best))
  return [...all.slice(0, 2), longest]
}

function temperaturePanel(
  data: TraceChartData,
  series: { readonly timesS: Float64Array; readonly values: Float64Array },
  frame: PanelFrame,
  xLabels: AxisLabels | null,
): ChartLayer {
  const { theme } = frame
  const [startS, endS] = windowOf(data)
  const known = series.values.filter(
    (value, index) =>
      Number.isFinite(value) && series.timesS[index]! >= startS && series.timesS[index]! <= endS,
  )
  const { ceilingC } = data
  const lowest = Math.min(minimum(known), ceilingC ?? Number.POSITIVE_INFINITY)
  const highest = Math.max(maximum(known), ceilingC ?? Number.NEGATIVE_INFINITY)
  const margin = Math.max(3, (highest - lowest) * 0.12)
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [lowest - margin, highest + margin * 1.6],
    widthPx: frame.plotPx,
    heightPx: frame.narrow ? 90 : 110,
  }
  const ceiling =
    ceilingC === null
      ? []
      : [
          lineLayer(
            panel.xRange.map((x) => ({ x, y: ceilingC })),
            {
              color: theme.heat,
              strokeDash: [5, 4],
              strokeWidth: 1.5,
            },
          ),
          ...labelLayers(
            [
              {
                x: panel.xRange[1],
                y: ceilingC,
                text: `ceiling ${Math.round(ceilingC)} °C`,
                colour: theme.heatText,
              },
            ],
            theme,
            { align: 'right', baseline: 'bottom', dy: -4 },
          ),
        ]
  return panelSpec(panel, {
    heading: 'Temperature, °C',
    xLabels,
    yLabels: roundLabels([lowest - margin, highest + margin * 0.5], 4),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      lineLayer(thinTrace(series, panel), { color: theme.ink, strokeWidth: 1.5, strokeJoin: 'round' }),
      ...ceiling,
    ],
  })
}

function scorePanel(data: TraceChartData, frame: PanelFrame, xLabels: AxisLabels | null): ChartLayer {
  const { theme } = frame
  const [startS, endS] = windowOf(data)
  const runs = data.scoredRuns
    .filter((run) => run.endS > startS && run.startS < endS)
    .map((run) => ({ ...run, startS: Math.max(startS, run.startS), endS: Math.min(endS, run.endS) }))
  const scores = runs.map((run) => run.score)
  const lowest = Math.min(...scores)
  const highest = Math.max(...scores)
  const margin = Math.max((highest - lowest) * 0.25, highest * 0.01)
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [lowest - margin, highest + margin * 2],
    widthPx: frame.plotPx,
    heightPx: frame.narrow ? 90 : 110,
  }
  const values = runs.map((run) => ({
    x: run.startS,
    x2: run.endS,
    y: run.score,
  }))
  return panelSpec(panel, {
    heading: `Score of each run, ${data.scoreUnit}`,
    xLabels,
    yLabels: roundLabels([lowest - margin, highest + margin], 4, (value) => groupDigits(value, 0)),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      {
        data: { values },
        mark: { type: 'rule', color: theme.ink, strokeWidth: 4 },
        encoding: { x2: { field: 'x2' } },
      },
      ...scoreLabels(runs, panel, theme),
    ],
  })
}

/** The first and the last score in figures, when they stand apart. */
function scoreLabels(runs: TraceChartData['scoredRuns'], panel: ChartPanel, theme: ChartTheme): ChartLayer[] {
  const first = runs[0]!
  const last = runs.at(-1)!
  const label = (run: typeof first): ChartLabel => ({
    x: (run.startS + run.endS) / 2,
    y: run.score,
    text: groupDigits(run.score, run.score < 100 ? 1 : 0),
    colour: theme.ink,
  })
  const apart = xPixel(panel, last.startS) - xPixel(panel, first.startS) > 90
  const stance = { baseline: 'bottom', dy: -6 } as const
  return [
    ...labelLayers([label(first)], theme, {
      ...stance,
      align: xPixel(panel, first.startS) < 30 ? 'left' : 'center',
    }),
    ...(apart
      ? labelLayers([label(last)], theme, {
          ...stance,
          align: xPixel(panel, last.endS) > panel.widthPx - 30 ? 'right' : 'center',
        })
      : []),
  ]
}

function timeLabels(startS: number, endS: number, most: number): AxisLabels {
  const values = roundTimeTicks(startS, endS, most)
  const step = values.length > 1 ? values[1]! - values[0]! : endS
  if (endS < 120) return withUnit({ values, texts: values.map(String) }, 's')
  if (step % 60 === 0) return withUnit({ values, texts: values.map((value) => String(value / 60)) }, 'min')
  return withUnit({ values, texts: values.map(sayMoment) }, 'min:s')
}

function stageTable(loads: readonly Load[]): Chart['table'] {
  const rows = loads.flatMap((load) =>
    load.stages.map((stage) => [
      stage.label,
      `${sayMoment(stage.startS)} to ${sayMoment(stage.endS)}`,
      sayDuration(stage.endS - stage.startS),
      sayValue(stage.levelW, 'W'),
      sayInterval(stage.levelW),
      stage.decay
        ? `toward ${sayValue(stage.decay.towardW, 'W')}, time constant ${sayDuration(stage.decay.tauS.value)}`
        : 'level',
      HELD_BY_WORDS[stage.heldBy.label],
    ]),
  )
  return { columns: ['Stage', 'When', 'Lasts', 'Mean power', '90 % interval', 'Shape', 'What held it'], rows }
}

function sayLoadInWords(load: Load): string {
  const stages = load.stages.map(
    (stage) =>
      `${stage.label} at ${sayValue(stage.levelW, 'W')} for ${sayDuration(stage.endS - stage.startS)}, ${HELD_BY_WORDS[stage.heldBy.label]}`,
  )
  return `From ${sayMoment(load.startS)} to ${sayMoment(load.endS)}: ${stages.join('; then ')}.`
}

function maximum(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(value, most), Number.NEGATIVE_INFINITY)
}

function minimum(values: Float64Array): number {
  return values.reduce((least, value) => Math.min(value, least), Number.POSITIVE_INFINITY)
}
