import type { SurveyedMachine, WorkloadSurvey } from '../../predict/comparison/surveyMachines.js'
import { sayMoment } from '../figures/sayDuration.js'
import { sayCount, sayGivenPower, sayScore } from '../figures/sayEstimate.js'
import { shortenName } from '../figures/shorten.js'
import { wrapText } from '../figures/wrapText.js'
import { heldByNames } from '../text/heldByWords.js'
import { headlineOfSurvey } from '../text/surveyHeadline.js'
import { plotIntervals } from './plotIntervals.js'
import { plotTable } from './plotTable.js'
import { type Ink, inkText, type Style } from './style.js'

/** What `survey` shows: a survey for each workload, and what gave nothing. */
export interface SurveyView {
  readonly workloads: readonly WorkloadSurvey[]
  readonly failed: readonly { readonly path: string; readonly error: { readonly message: string } }[]
}

/** The whole answer of `survey`: for each workload chips at equal watts, the watts of each chassis, and the machines as tested. */
export function saySurvey(view: SurveyView, style: Style): string {
  const parts = view.workloads.map((survey) => sayWorkload(survey, style))
  if (view.failed.length > 0) parts.push(sayFailed(view.failed, style))
  return parts.join('\n\n\n')
}

function sayWorkload(survey: WorkloadSurvey, style: Style): string {
  const { workload, machines } = survey
  const unsettled = machines.some(({ reached }) => reached === false)
  return [
    inkText(workload.name, 'strong', style),
    wrapText(`${headlineOfSurvey(survey)}.`, style.width, 2),
    ...sayChips(survey, style),
    inkText('  Sustained power, W', 'strong', style),
    plotIntervals(
      machines.map((machine) => ({
        name: machineName(machine),
        estimate: machine.sustainedW,
        note: `${noteOf(machine)}${machine.reached === false ? '*' : ''}`,
        ink: inkOf(machine),
      })),
      { unit: 'W', kind: 'power' },
      style,
    ),
    ...(unsettled ? [wrapText(UNSETTLED, style.width, 2)] : []),
    inkText('  As tested', 'strong', style),
    plotTable(testedColumns(workload.score), machines.map(testedRow), style),
  ].join('\n\n')
}

function sayChips({ atW, chips, workload }: WorkloadSurvey, style: Style): readonly string[] {
  if (atW === null) return []
  const better = workload.better === 'lower' ? ' (lower is better)' : ''
  const outside = chips.some(({ extrapolated }) => extrapolated)
  return [
    inkText(`  Score at ${sayGivenPower(atW)}, ${workload.score}${better}`, 'strong', style),
    plotIntervals(
      chips.map(({ chip, score, machines, extrapolated }) => ({
        name: chip,
        estimate: score ?? undefined,
        note: `${sayCount(machines, 'machine')}${extrapolated ? '*' : ''}`,
        ink: 'measured',
      })),
      { unit: workload.score, kind: 'score' },
      style,
    ),
    ...(outside
      ? [wrapText('* extrapolated: this chip was not measured at that power.', style.width, 2)]
      : []),
  ]
}

const UNSETTLED = '* extrapolated: the log ends before the power settles.'

function testedColumns(unit: string) {
  return [
    { heading: 'machine' },
    { heading: 'chip' },
    { heading: 'settles after', align: 'right' as const },
    { heading: unit.length > 8 ? 'steady score' : `steady score, ${unit}` },
  ]
}

function testedRow(machine: SurveyedMachine): string[] {
  const { settleAfterS, steadyScore } = machine
  return [
    shortenName(machineName(machine), 22),
    shortenName(machine.chip, 14),
    settleAfterS === null ? '–' : sayMoment(settleAfterS.value),
    steadyScore === null ? '–' : sayScore(steadyScore),
  ]
}

/** A machine, and its power mode where one is noted: the same machine may have been tested in several. */
export function machineName({ machine, mode }: Pick<SurveyedMachine, 'machine' | 'mode'>): string {
  return mode === null ? machine : `${machine}, ${mode}`
}

function noteOf({ heldBy }: SurveyedMachine): string {
  return heldBy === null ? 'noted by hand' : heldByNames[heldBy]
}

const INKS = { 'power-limit': 'measured', heat: 'unsafe', demand: 'good', undetermined: 'faint' } as const

function inkOf({ heldBy }: SurveyedMachine): Ink {
  return heldBy === null ? 'faint' : INKS[heldBy]
}

function sayFailed(failed: SurveyView['failed'], style: Style): string {
  const lines = failed.map(({ path, error }) => wrapText(`${path}: ${error.message}`, style.width, 2, 2))
  return [inkText('Left out', 'strong', style), ...lines].join('\n')
}
