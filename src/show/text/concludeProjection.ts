import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Workload } from '../../physics/chip/chip.js'
import type { Projection, TargetLimits } from '../../predict/projection/projection.js'
import { NO_BREAK } from '../figures/digits.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayGivenPower, sayInterval, sayPowers, sayScore, sayValue } from '../figures/sayEstimate.js'
import { unsigned } from './sayGapText.js'

/** The projection in one or two sentences that can be quoted. */
export function concludeProjection(projection: Projection, workload: Workload): string {
  const { first, steady, change, target } = projection
  if (projection.sweep.length > 1) return concludeSweep(projection, workload)
  const verb = workload.better === 'lower' ? 'takes' : 'scores'
  const text =
    `In a chassis that sustains ${sayGivenPower(target.sustainedW)}${sayEarly(target)}, ${projection.chip} ${verb} ` +
    `${sayScore(steady.score, workload.score)} in a long run${change.steadyPct ? `, ${sayChange(change.steadyPct, workload)},` : ''} ` +
    `and ${sayScore(first.score, workload.score)} in the first run.`
  return `${text}${sayExtrapolation(projection)}`
}

function concludeSweep(projection: Projection, workload: Workload): string {
  const [lowest, highest] = [projection.sweep[0]!, projection.sweep.at(-1)!]
  const from = `${sayScore(lowest.steady.score, workload.score)} in a chassis that sustains ${sayGivenPower(lowest.sustainedW)}`
  const to = `${sayScore(highest.steady.score, workload.score)} in one that sustains ${sayGivenPower(highest.sustainedW)}`
  return `The steady score goes from ${from} to ${to}.${sayExtrapolation(projection)}`
}

/**
 * `26 % more than as tested (24 to 29 %)`; for a time, `18 % less time than as tested (16 to 20 %)`; where both are possible,
 * `neither clearly more nor less than as tested (−4 to 3 %)`.
 */
function sayChange(percent: Estimate, workload: Workload): string {
  if (percent.low < 0 && percent.high > 0) {
    const none =
      workload.better === 'lower' ? 'neither clearly more nor less time' : 'neither clearly more nor less'
    return `${none} than as tested (${sayInterval(percent, 'percent')}${NO_BREAK}%)`
  }
  const size = unsigned(percent)
  const word = percent.value < 0 ? 'less' : 'more'
  const what = workload.better === 'lower' ? `${word} time` : word
  return `${sayValue(size, '%')} ${what} than as tested (${sayInterval(size, 'percent')}${NO_BREAK}%)`
}

function sayEarly(target: TargetLimits): string {
  const early: string[] = []
  if (target.burstW > target.sustainedW) early.push(held('burst', target.burstW, target.burstForS))
  if (target.shortTermW !== null && target.shortTermW > target.sustainedW) {
    early.push(held('short-term', target.shortTermW, target.shortTermForS))
  }
  return early.length > 0 ? ` (${early.join(', ')})` : ''
}

/** `from 43.3 to 95.9 W`, or `at 55.0 W`. */
function atPowers(rangeW: readonly [number, number]): string {
  const powers = sayPowers(rangeW)
  return powers.includes(' to ') ? `from ${powers}` : `at ${powers}`
}

function held(stage: string, powerW: number, forS: number | null): string {
  return `${stage} ${sayGivenPower(powerW)}${forS === null ? '' : ` for ${sayDuration(forS)}`}`
}

function sayExtrapolation(projection: Projection): string {
  const { outside, measuredRangeW, targetRangeW } = projection.extrapolation
  if (!outside) return ''
  return (
    ` Part of this is an extrapolation: the chip was measured ${atPowers(measuredRangeW)}, ` +
    `and the target needs ${sayPowers(targetRangeW)}. The intervals are wider for it.`
  )
}
