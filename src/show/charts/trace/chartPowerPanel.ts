import type { Load, Stage } from '../../../segment/load.js'
import { heldByColours } from '../chartHeldBy.js'
import {
  type AxisLabels,
  type ChartPanel,
  labelLayers,
  lineLayer,
  panelSpec,
  roundLabels,
} from '../chartPanel.js'
import type { ChartLayer } from '../chartSpec.js'
import type { ChartTheme } from '../chartTheme.js'
import { placeStageLabels } from './chartStageLabels.js'
import { thinTrace } from './chartThinTrace.js'
import { type PanelFrame, settledW, stageEdges, type TraceChartData, windowOf } from './chartTraceData.js'

/** The power as logged, with the fitted levels and decays over it, each labelled and coloured by what held it. */
export function powerPanel(data: TraceChartData, frame: PanelFrame, xLabels: AxisLabels | null): ChartLayer {
  const { theme } = frame
  const { timesS, powerW } = data.trace
  const stages = data.loads.flatMap((load) => load.stages)
  const top = Math.max(maximum(powerW), ...stages.map((stage) => stage.levelW.value))
  const panel: ChartPanel = {
    xRange: windowOf(data),
    yRange: [0, top * (frame.narrow ? 1.3 : 1.12)],
    widthPx: frame.plotPx,
    heightPx: data.powerAlone ? 170 : frame.narrow ? 220 : 250,
  }
  const raw = thinTrace({ timesS, values: powerW }, panel)
  const drawn = stages.filter((stage) => overlaps(stage, panel))
  const labels = placeStageLabels(chosenStages(drawn), raw, panel, {
    drawn,
    short: frame.narrow,
    settledW: (stage) => data.loads.map((load) => settledW(stage, load)).find((level) => level),
    say: (stage) => heldByColours(theme, stage.heldBy.label).text,
  })
  return panelSpec(panel, {
    heading: 'Power, W',
    xLabels,
    yLabels: roundLabels(panel.yRange, 5),
    theme,
    layers: [
      ...stageEdges(data.loads, panel, theme),
      lineLayer(raw, { color: theme.raw, strokeWidth: 1, strokeJoin: 'round' }),
      ...drawn.map((stage) => stageLine(stage, panel, theme)),
      ...settledRules(data.loads, theme),
      ...labelLayers(labels, theme, { bold: true }),
    ],
  })
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
function chosenStages(all: readonly Stage[]): readonly Stage[] {
  if (all.length <= MOST_LABELS) return all
  const lastsS = (stage: Stage) => stage.endS - stage.startS
  const longest = all.slice(2).reduce((best, stage) => (lastsS(stage) > lastsS(best) ? stage : best))
  return [...all.slice(0, 2), longest]
}

function maximum(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(value, most), Number.NEGATIVE_INFINITY)
}
