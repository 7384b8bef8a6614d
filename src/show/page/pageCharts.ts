import type { TestedMachine } from '../../machine/testedMachine.js'
import { chipAt } from '../../physics/chip/chipAt.js'
import { type ChipComparison, compareChips } from '../../predict/comparison/compareChips.js'
import { projectScore } from '../../predict/projection/projectScore.js'
import type { Load } from '../../segment/load.js'
import type { Chart } from '../charts/chart.js'
import { equalPowerChart } from '../charts/chartEqualPower.js'
import { gapChart } from '../charts/chartGap.js'
import { type CurvePoints, scoreCurveChart } from '../charts/chartScoreCurve.js'
import { sweepChart } from '../charts/chartSweep.js'
import { traceChart } from '../charts/trace/chartTrace.js'
import { uniqueName } from '../text/uniqueName.js'
import { comparedMachine, oneOfEachChip, type PageContent } from './pageContent.js'
import {
  headlineOfComparison,
  headlineOfCurve,
  headlineOfGap,
  headlineOfOpening,
  headlineOfSweep,
  headlineOfTrace,
} from './pageHeadlines.js'

/** The charts of a page, in the order of the page. */
export interface PageCharts {
  /** Of each machine: one trace for every log, then score curve and sweep. */
  readonly machines: readonly (readonly Chart[])[]
  readonly comparison: Chart | null
  readonly gaps: readonly Chart[]
}

/** All charts of a page, not yet drawn. */
export function pageCharts(content: PageContent): PageCharts {
  const names = new Set<string>()
  return {
    machines: content.machines.map((machine, position) => [
      ...traceCharts(machine, names),
      curveChart(machine, position, names),
      ...sweepCharts(machine, position, names),
    ]),
    comparison: content.comparison ? comparisonChart(content.machines, content.comparison) : null,
    gaps: content.gaps.map((gap) =>
      gapChart({
        name: uniqueName(`${gap.a} ${gap.b} gap`, names),
        title: headlineOfGap(gap),
        first: gap.a,
        second: gap.b,
        lowerIsBetter: gap.better === 'lower',
        positions: [0, positionOf(gap.b, content)],
        total: {
          value: 100 * (gap.ratio.value - 1),
          low: 100 * (gap.ratio.low - 1),
          high: 100 * (gap.ratio.high - 1),
          level: gap.ratio.level,
        },
        parts: gap.parts,
      }),
    ),
  }
}

function positionOf(name: string, { machines }: PageContent): number {
  return machines.findIndex(({ machine }, index) => index > 0 && machine === name)
}

function traceCharts(machine: TestedMachine, names: Set<string>): Chart[] {
  const { workload } = machine.chip
  return machine.tests[0]!.trials.flatMap((read) => {
    if (read.kind === 'noted') return []
    const { mode } = read.trial
    const name = mode === null ? machine.machine : `${machine.machine}, ${mode}`
    const whole = {
      name: uniqueName(`${name} trace`, names),
      machine: name,
      title: headlineOfTrace(name, read.loads),
      trace: read.log.trace,
      loads: read.loads,
      scoredRuns: read.runs,
      scoreUnit: workload.better === 'lower' ? `${workload.score} (lower is better)` : workload.score,
      ceilingC: machine.chassis.thermal?.ceilingC ?? null,
    }
    const windowS = openingOf(read.loads, read.log.trace.timesS.at(-1) ?? 0)
    if (!windowS) return [traceChart(whole)]
    const opening = {
      ...whole,
      name: uniqueName(`${name} opening`, names),
      title: headlineOfOpening(name, read.loads),
      windowS,
    }
    return [traceChart(whole), traceChart(opening)]
  })
}

/**
 * The beginning of a load, where its short stages would be too narrow to see in the whole: from shortly before the load to
 * well into the last stage that begins early. Undefined when the whole shows everything.
 */
function openingOf(loads: readonly Load[], endS: number): readonly [number, number] | undefined {
  const [load] = loads
  if (!load) return undefined
  const early = load.stages.filter((stage) => stage.startS < load.startS + endS / 4)
  const isNarrow = early.some((stage) => stage.endS - stage.startS < endS * NARROW_SHARE)
  const lengthS = Math.max(20, (early.at(-1)!.startS - load.startS) * 1.35)
  if (!isNarrow || early.length < 2 || lengthS > endS / 3) return undefined
  return [Math.max(0, load.startS - lengthS * 0.06), load.startS + lengthS]
}

/** A stage under this share of the log is a sliver of a few pixels. */
const NARROW_SHARE = 0.03

function curveChart(machine: TestedMachine, position: number, names: Set<string>): Chart {
  const { chip } = machine
  return scoreCurveChart({
    name: uniqueName(`${machine.machine} score curve`, names),
    machine: machine.machine,
    chip: chip.name,
    title: headlineOfCurve(machine),
    position,
    scoreUnit: chip.workload.score,
    lowerIsBetter: chip.workload.better === 'lower',
    measuredRangeW: chip.measuredRangeW,
    curve: curvePoints(machine, drawnRange([machine])),
    ...curveRuns(machine),
    sustainedW: machine.chassis.sustainedW,
  })
}

/**
 * Runs as dots on the curve. Hot silicon leaks, so a run at another temperature than the curve's scores beside it; dots are
 * then moved by what the fit says of that, and show what is left: how well curve and runs agree.
 */
function curveRuns({ chip, runs }: TestedMachine) {
  const { referenceC } = chip
  if (referenceC === undefined || !chip.draws.some((draw) => draw.heatPerK)) return { runs, referenceC: null }
  const moved = runs.map(({ meanW, score, fittedScore }) => {
    const onCurve = chipAt(chip, meanW)?.score.value ?? fittedScore
    return { meanW, score: (onCurve * score) / fittedScore }
  })
  return { runs: moved, referenceC }
}

function sweepCharts(machine: TestedMachine, position: number, names: Set<string>): Chart[] {
  const { chip, chassis, loop, asTested } = machine
  const [low, high] = drawnRange([machine])
  const tested = chassis.sustainedW.value
  const sweepW = evenly(low, high, SWEEP_POINTS, [...chip.measuredRangeW, tested])
  const target = { sustainedW: tested }
  const { sweep } = projectScore({ chip, target, loop, testedLoop: loop, tested: chassis, asTested, sweepW })
  return [
    sweepChart({
      name: uniqueName(`${machine.machine} sweep`, names),
      title: headlineOfSweep(machine, sweep),
      machine: machine.machine,
      chip: chip.name,
      position,
      scoreUnit: chip.workload.score,
      lowerIsBetter: chip.workload.better === 'lower',
      measuredRangeW: chip.measuredRangeW,
      testedSustainedW: chassis.sustainedW.value,
      sweep: sweep.map((point) => ({
        sustainedW: point.sustainedW,
        first: point.first.score,
        steady: point.steady.score,
      })),
    }),
  ]
}

function comparisonChart(machines: readonly TestedMachine[], comparison: ChipComparison): Chart {
  const { workload } = machines[0]!.chip
  const range = drawnRange(machines)
  const chips = oneOfEachChip(machines)
  const grid = evenly(range[0], range[1], LEAD_POINTS, [])
  const lead = chips.length === 2 ? compareChips({ machines: chips.map(comparedMachine), atW: grid }).at : []
  return equalPowerChart({
    name: 'equal-power',
    title: headlineOfComparison(machines, comparison),
    scoreUnit: workload.score,
    lowerIsBetter: workload.better === 'lower',
    chips: chips.map((one) => ({
      chip: one.chip.name,
      position: machines.indexOf(one),
      curve: curvePoints(one, range),
      measuredRangeW: one.chip.measuredRangeW,
      machines: machines
        .filter(({ chip }) => chip.name === one.chip.name)
        .map(({ machine, chassis }) => ({ machine, sustainedW: chassis.sustainedW.value })),
    })),
    lead: lead.map(({ powerW, ratio }) => ({
      powerW,
      percent: {
        value: 100 * (ratio.value - 1),
        low: 100 * (ratio.low - 1),
        high: 100 * (ratio.high - 1),
        level: ratio.level,
      },
    })),
    crossovers: comparison.crossovers,
  })
}

const CURVE_POINTS = 40
const LEAD_POINTS = 20
const SWEEP_POINTS = 9
/** A chart reaches this far beyond what was measured: to show how the interval opens, not to invite reading it off. */
const REACH = 1.2

/** Powers that a chart shows: what was measured and held, a little wider. */
function drawnRange(machines: readonly TestedMachine[]): [number, number] {
  const lows = machines.map(({ chip, chassis }) => Math.min(chip.measuredRangeW[0], chassis.sustainedW.value))
  const highs = machines.map(({ chip, chassis }) =>
    Math.max(chip.measuredRangeW[1], chassis.sustainedW.value),
  )
  return [Math.min(...lows) / REACH, Math.max(...highs) * REACH]
}

function curvePoints(machine: TestedMachine, [low, high]: readonly [number, number]): CurvePoints {
  return evenly(low, high, CURVE_POINTS, machine.chip.measuredRangeW).flatMap((powerW) => {
    const point = chipAt(machine.chip, powerW)
    return point ? [{ powerW, score: point.score, perWatt: point.perWatt }] : []
  })
}

/** Evenly spaced powers with some more among them, rising, none twice. */
function evenly(low: number, high: number, count: number, more: readonly number[]): number[] {
  const powers = Array.from({ length: count }, (_, index) => low + ((high - low) * index) / (count - 1))
  const inside = more.filter((power) => power > low && power < high)
  return [...new Set([...powers, ...inside])].sort((a, b) => a - b)
}
