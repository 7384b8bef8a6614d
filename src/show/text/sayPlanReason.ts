import type { PlanReason } from '../../predict/plan/planReason.js'
import { sayDuration } from '../figures/sayDuration.js'
import { sayCount, sayNumber, sayPercent } from '../figures/sayEstimate.js'

/** A reason of a test plan in a sentence. */
export function sayPlanReason(reason: PlanReason): string {
  switch (reason.code) {
    case 'settles':
      return `The slowest process decides when the power settles: ${SLOWEST[reason.by]} ${sayDuration(reason.slowestS)}.`
    case 'settles-at-once':
      return 'Nothing lowered the power, so it is settled from the start.'
    case 'not-settled-yet':
      return `The log ends after ${sayDuration(reason.loadS)} of load, before the power settles. Test at least twice as long, then plan again.`
    case 'runs':
      return sayRuns(reason)
    case 'rest':
      return reason.by === 'budget'
        ? `The running average of the power limit (time constant ${sayDuration(reason.slowestS)}) recovers last. After this rest 2 % of the load is left in it.`
        : `The heat sink (time constant ${sayDuration(reason.slowestS)}) cools last. After this rest 2 % of its warming is left.`
    case 'rest-supposed':
      return `The log has no temperature, so how fast the machine cools is not known. A typical heat sink was assumed (time constant ${sayDuration(reason.slowestS)}).`
    case 'sampling-burst':
      return `The shortest burst lasts ${sayDuration(reason.shortestBurstS)}: ${sayCount(reason.samples, 'sample')} in it show its level and its end.`
    case 'sampling-swing':
      return `Power swings, and its shorter phase lasts ${sayDuration(reason.shorterPhaseS)}: ${sayCount(reason.samples, 'sample')} in it show both its powers.`
    case 'sampling-no-burst':
      return 'There is no burst to resolve; one sample a second is enough.'
    case 'next-mode': {
      const [low, high] = reason.rangeW
      return (
        `${sayCount(reason.runs, 'more run', 'more runs')} in a power mode that sustains about ${sayNumber(reason.powerW, 2, 'W')} would add the most: ` +
        `the 90 % interval of projections to ${sayNumber(low, 2)} to ${sayNumber(high, 2, 'W')} would be ${sayPercent(reason.widthAfterPct)} wide ` +
        `on average, now ${sayPercent(reason.widthBeforePct)}.`
      )
    }
  }
}

const SLOWEST = {
  budget: 'a running average with a time constant of',
  heat: 'a heat sink with a time constant of',
  'timed-step': 'a step that comes after',
} as const

function sayRuns({ before, steady, runS, runSupposed }: Extract<PlanReason, { code: 'runs' }>): string {
  const length = `of ${sayDuration(runS)}${runSupposed ? ' (assumed)' : ''}`
  const steadyRuns = sayCount(steady, 'steady run')
  return before === 0
    ? `${steadyRuns} ${length} for a mean within 1 %.`
    : `${sayCount(before, 'run')} ${length} until the power settles, then ${steadyRuns} for a mean within 1 %.`
}
