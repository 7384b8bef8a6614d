import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import { NO_BREAK } from './digits.js'
import { sayInterval, sayValue } from './sayEstimate.js'

/**
 * What 10 % more power gives, in percent: of the score, or of the time that a run takes less.
 *
 *   gain = 1.1^elasticity - 1; for a time 1 - 1.1^-elasticity
 *
 * @param elasticity - relative change of the rate of work over that of the power, at one power
 */
export function gainPercent(
  { value, low, high, level }: Estimate,
  { better }: Pick<Workload, 'better'>,
): Estimate {
  const gain = (elasticity: number) =>
    better === 'lower' ? -100 * (1.1 ** -elasticity - 1) : 100 * (1.1 ** elasticity - 1)
  const ends = [gain(low), gain(high)]
  return { value: gain(value), low: Math.min(...ends), high: Math.max(...ends), level }
}

/** `+10 % power gives +6.6 % score (5.3 to 8.1 %)`; for a time, `+10 % power saves 6.1 % of the time (5.0 to 7.4 %)`. */
export function sayElasticity(elasticity: Estimate, workload: Pick<Workload, 'better'>): string {
  const gain = gainPercent(elasticity, workload)
  const interval = `${sayInterval(gain, 'percent')}${NO_BREAK}%`
  return workload.better === 'lower'
    ? `+10 % power saves ${sayValue(gain, '%')} of the time (${interval})`
    : `+10 % power gives ${gain.value > 0 ? '+' : ''}${sayValue(gain, '%')} score (${interval})`
}
