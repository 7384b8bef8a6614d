import { asTested } from '../../machine/asTested.js'
import type { TestedMachine } from '../../machine/testedMachine.js'
import type { MachineCurve } from '../../predict/overview/machineCurve.js'
import type { Projection } from '../../predict/projection/projection.js'
import type { Load } from '../../segment/load.js'
import type { Chart } from '../charts/chart.js'
import { equalPowerChart } from '../charts/chartEqualPower.js'
import { gapChart } from '../charts/chartGap.js'
import { scoreCurveChart } from '../charts/chartScoreCurve.js'
import { sweepChart } from '../charts/chartSweep.js'
import { traceChart } from '../charts/trace/chartTrace.js'
import { uniqueName } from '../charts/uniqueName.js'
import { gapPercent } from '../text/sayGapText.js'
import type { PageContent } from './pageContent.js'
import {
  headlineOfComparison,
  headlineOfCurve,
  headlineOfGap,
  headlineOfOpening,
  headlineOfSweep,
  headlineOfTrace,
} from './pageHeadlines.js'

/** The charts of a page. */
export interface PageCharts {
  readonly machines: readonly MachineCharts[]
  readonly comparison: Chart | null
  readonly gaps: readonly Chart[]
}

/** The charts of one machine: one or two traces for every log, the score curve, and the sweep. */
export interface MachineCharts {
  readonly traces: readonly Chart[]
  readonly curve: Chart
  readonly sweep: Chart
}

interface MachineFacts {
  readonly machine: TestedMachine
  readonly position: number
  /** Names of charts that are taken. */
  readonly names: Set<string>
}

/**
 * All charts of a page, not yet drawn.
 *
 * @param places - place of each machine in the order that decides its colour; the order of the page when left out
 */
export function pageCharts(
  content: PageContent,
  places: readonly number[] = content.machines.map((_, index) => index),
): PageCharts {
  const names = new Set<string>()
  return {
    machines: content.machines.map((machine, index) => {
      const facts = { machine, position: places[index]!, names }
      return {
        traces: traceCharts(machine, names),
        curve: curveChart({ ...facts, curve: content.curves[index]! }),
        sweep: sweepOf({ ...facts, sweep: content.sweeps[index]! }),
      }
    }),
    comparison: comparisonChart(content, places),
    gaps: content.gaps.map((gap) =>
      gapChart({
        name: uniqueName(`${gap.a} ${gap.b} gap`, names),
        title: headlineOfGap(gap),
        first: gap.a,
        second: gap.b,
        lowerIsBetter: gap.better === 'lower',
        positions: [places[0]!, places[positionOf(gap.b, content)]!],
        total: gapPercent(gap),
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
      powerAlone: true,
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

function curveChart({
  machine,
  position,
  names,
  curve,
}: MachineFacts & { readonly curve: MachineCurve }): Chart {
  const { chip } = machine
  return scoreCurveChart({
    name: uniqueName(`${machine.machine} score curve`, names),
    machine: machine.machine,
    chip: chip.name,
    title: headlineOfCurve(machine),
    position,
    scoreUnit: chip.workload.score,
    lowerIsBetter: chip.workload.better === 'lower',
    measuredRangeW: curve.runRangeW,
    curve: curve.points,
    runs: curve.runs,
    referenceC: curve.referenceC,
    sustainedW: curve.sustainedW,
  })
}

function sweepOf({
  machine,
  position,
  names,
  sweep,
}: MachineFacts & { readonly sweep: Projection['sweep'] }): Chart {
  const { chip, chassis } = machine
  return sweepChart({
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
  })
}

function comparisonChart({ machines, equalPower }: PageContent, places: readonly number[]): Chart | null {
  if (equalPower === null) return null
  const { workload } = machines[0]!.chip
  const { comparison, chips, lead } = equalPower
  return equalPowerChart({
    name: 'equal-power',
    title: headlineOfComparison(machines, comparison),
    scoreUnit: workload.score,
    lowerIsBetter: workload.better === 'lower',
    chips: chips.map(({ position, curve }) => {
      const { name } = machines[position]!.chip
      return {
        chip: name,
        position: places[position]!,
        curve: curve.points,
        runs: curve.runs,
        measuredRangeW: curve.runRangeW,
        machines: machines
          .filter(({ chip }) => chip.name === name)
          .map((machine) => ({ machine: machine.machine, sustainedW: asTested(machine).sustainedW.value })),
      }
    }),
    lead,
    crossovers: comparison.crossovers,
  })
}
