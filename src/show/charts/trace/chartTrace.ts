import type { Load } from '../../../segment/load.js'
import { capitalised } from '../../figures/capitalised.js'
import { roundTimeTicks } from '../../figures/roundTimeTicks.js'
import { sayDuration, sayMoment } from '../../figures/sayDuration.js'
import { sayEstimate, sayInterval, sayValue } from '../../figures/sayEstimate.js'
import { heldByNames, heldByWords } from '../../text/heldByWords.js'
import { type Chart, type ChartFrame, NARROW_BELOW_PX } from '../chart.js'
import { type AxisLabels, withUnit } from '../chartPanel.js'
import { type ChartLayer, chartSpec, Y_LABELS_PX } from '../chartSpec.js'
import { powerPanel } from './chartPowerPanel.js'
import { runScoresPanel } from './chartRunScores.js'
import { sayStageLevel } from './chartStageLabels.js'
import { temperaturePanel } from './chartTemperaturePanel.js'
import { settledW, type TraceChartData, windowOf } from './chartTraceData.js'

/**
 * Power with its stages, fitted levels and decays and what held it; temperature and the score of each run under it
 * on the same time axis.
 */
export function traceChart(data: TraceChartData): Chart {
  const parts = [
    'package power in watts with the fitted stages, coloured by what held the power',
    ...(data.trace.temperatureC && !data.powerAlone ? ['temperature in degrees Celsius'] : []),
    ...(data.scoredRuns.length > 0 && !data.powerAlone ? [`score of each run in ${data.scoreUnit}`] : []),
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
    notes: data.powerAlone ? [] : data.loads.flatMap(notesOfLoad).slice(0, MOST_NOTES),
    specify: (frame) => chartSpec(chart, frame, { vconcat: tracePanels(data, frame) }),
  }
}

function tracePanels(data: TraceChartData, frame: ChartFrame): ChartLayer[] {
  const { theme, widthPx } = frame
  const narrow = widthPx < NARROW_BELOW_PX
  const [startS, endS] = windowOf(data)
  const plotPx = tracePlotPx(widthPx) - (frame.titled ? 36 : 0)
  const xLabels = timeLabels(startS, endS, narrow ? 4 : 8)
  const specs: ((last: boolean) => ChartLayer)[] = [
    (last) => powerPanel(data, { theme, plotPx, narrow }, last ? xLabels : null),
  ]
  const { temperatureC } = data.trace
  if (temperatureC && !data.powerAlone) {
    const values = { timesS: data.trace.timesS, values: temperatureC }
    specs.push((last) => temperaturePanel(data, values, { theme, plotPx, narrow }, last ? xLabels : null))
  }
  const visible = data.scoredRuns.filter((run) => run.endS > startS && run.startS < endS)
  const hasRuns = !data.powerAlone && visible.length > (data.windowS ? 1 : 0)
  if (hasRuns) specs.push((last) => runScoresPanel(data, { theme, plotPx, narrow }, last ? xLabels : null))
  return specs.map((spec, index) => spec(index === specs.length - 1))
}

/** Width of the plot itself in a picture without a title, px: labels of y stand left of it, half of the last label of x right. */
export function tracePlotPx(widthPx: number): number {
  return widthPx - Y_LABELS_PX - 28
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
      sayInterval(stage.levelW, 'power'),
      stage.decay
        ? `toward ${sayEstimate(stage.decay.towardW, 'W')}, time constant ${sayEstimate(stage.decay.tauS, 's')}`
        : 'level',
      heldByNames[stage.heldBy.label],
    ]),
  )
  return { columns: ['Stage', 'When', 'Lasts', 'Mean power', '90 % interval', 'Shape', 'Held by'], rows }
}

/** On a phone the labels have no room for the cause: it stands below the picture. */
function notesOfLoad(load: Load): readonly string[] {
  return load.stages.map((stage) => {
    const lasting = sayDuration(stage.endS - stage.startS)
    const name = capitalised(stage.label)
    return `${name} from ${sayMoment(stage.startS)} for ${lasting}: ${sayStageLevel(stage, settledW(stage, load))}, ${heldByWords[stage.heldBy.label]}`
  })
}

/** A log of many loads has its stages in the table. */
const MOST_NOTES = 8

function sayLoadInWords(load: Load): string {
  const stages = load.stages.map(
    (stage) =>
      `${stage.label} at ${sayValue(stage.levelW, 'W')} for ${sayDuration(stage.endS - stage.startS)}, ${heldByWords[stage.heldBy.label]}`,
  )
  return `From ${sayMoment(load.startS)} to ${sayMoment(load.endS)}: ${stages.join('; then ')}.`
}
