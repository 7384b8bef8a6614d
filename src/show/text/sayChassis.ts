import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Chassis } from '../../physics/loop/chassis.js'
import { groupDigits } from '../figures/digits.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayEstimate } from '../figures/sayEstimate.js'

/** The limits of a chassis, a name and a value a row: the same in the terminal and on the page. */
export function sayChassis(chassis: Chassis): string[][] {
  const rows = [['burst', withHold(chassis.burstW, chassis.burstHoldS)]]
  if (chassis.shortTermW) rows.push(['short-term', withHold(chassis.shortTermW, chassis.shortTermHoldS)])
  rows.push(['sustained', sayEstimate(chassis.sustainedW, 'W')])
  for (const { limitW, tauS, recoveryS } of chassis.budgets) {
    rows.push(['power budget', `${sayEstimate(limitW, 'W')}, averaged with τ ${sayEstimate(tauS, 's')}`])
    if (recoveryS) rows.push(['in pauses', `the average falls with τ ${sayEstimate(recoveryS, 's')}`])
  }
  for (const { limitW, afterS } of chassis.timedSteps)
    rows.push(['timed step', `${sayEstimate(limitW, 'W')} after ${sayEstimate(afterS, 's')}`])
  const { thermal, heatBudget } = chassis
  if (heatBudget) rows.push(['heat budget', `${sayEstimate(heatBudget.limitW, 'W')}, from the power alone`])
  if (thermal) rows.push(['heat', sayThermal(thermal)], ['heating', sayTimeConstants(thermal)])
  return rows
}

function withHold(power: Estimate, hold: Estimate | null): string {
  if (!hold) return sayEstimate(power, 'W')
  return `${sayEstimate(power, 'W')}, held for ${sayEstimate(hold, 's')} from idle`
}

function sayThermal(thermal: NonNullable<Chassis['thermal']>): string {
  const ceiling =
    thermal.ceilingC === null ? 'no ceiling reached' : `ceiling ${groupDigits(thermal.ceilingC, 0)} °C`
  return `${sayEstimate(thermal.resistanceKPerW, 'K/W')}, ${ceiling}`
}

function sayTimeConstants({ stages }: NonNullable<Chassis['thermal']>): string {
  return `τ ${stages.map((stage) => sayDuration(stage.tauS)).join(', ')} (no interval: fitted as one)`
}
