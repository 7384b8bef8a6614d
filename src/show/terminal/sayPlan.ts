import type { Estimate } from '../../numeric/statistics/estimate.js'
import { sayDuration } from '../figures/sayDuration.js'
import { wrapText } from '../figures/wrapText.js'
import { plotTable } from './plotTable.js'
import { inkText, type Style } from './style.js'

/** What `plan` advises for the next test of one machine. */
export interface PlanView {
  readonly settleS: Estimate
  readonly runsNeeded: number
  readonly restS: Estimate
  readonly sampleEveryS: number
  readonly reasons: readonly string[]
}

/** The advice as a table, then the reasons. */
export function sayPlan(plan: PlanView, title: string, style: Style): string {
  const rows = [
    ['power settles after', sayRange(plan.settleS)],
    ['runs, at least', String(plan.runsNeeded)],
    ['rest between tests', sayRange(plan.restS)],
    ['sample every', `${sayDuration(plan.sampleEveryS)} or faster`],
  ]
  return [
    inkText(`Next test of ${title}`, 'strong', style),
    plotTable([{ heading: 'step' }, { heading: 'value' }], rows, style),
    plan.reasons.map((reason) => wrapText(`· ${reason}`, style.width, 2, 2)).join('\n'),
  ].join('\n\n')
}

function sayRange(estimate: Estimate): string {
  return `${sayDuration(estimate.value)} (${sayDuration(estimate.low)} to ${sayDuration(estimate.high)})`
}
