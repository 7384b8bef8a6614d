import type { PlanReason } from '../../predict/plan/planReason.js'
import { sayDuration } from './sayDuration.js'
import { groupDigits, sayNumber } from './sayEstimate.js'

/** A reason of a test plan in a sentence. */
export function sayPlanReason(reason: PlanReason): string {
  switch (reason.code) {
    case 'settles':
      return `Power settles with the slowest thing that holds it: ${SLOWEST[reason.by]} ${sayDuration(reason.slowestS)}.`
    case 'settles-at-once':
      return 'Nothing held the power down, so it is settled from the start.'
    case 'not-settled-yet':
      return `The log ends after ${sayDuration(reason.loadS)} of load, before the power settled: test at least twice as long, and look again.`
    case 'runs':
      return `${reason.before} ${reason.before === 1 ? 'run' : 'runs'} of ${sayDuration(reason.runS)}${reason.runSupposed ? ' (supposed)' : ''} until then, and ${reason.steady} steady ones for a mean that is known to a per cent.`
    case 'rest':
      return reason.by === 'budget'
        ? `The running average of the power limit (time constant ${sayDuration(reason.slowestS)}) takes longest to empty: after this rest 2 % of the load is left in it.`
        : `The heat sink (time constant ${sayDuration(reason.slowestS)}) takes longest to cool: after this rest 2 % of the rise is left.`
    case 'rest-supposed':
      return `How fast the machine cools is not known (no temperature in the log): a usual heat sink's ${sayDuration(reason.slowestS)} was supposed.`
    case 'sampling-burst':
      return `The shortest burst lasts ${sayDuration(reason.shortestBurstS)}: ${reason.samples} samples in it show its level and its end.`
    case 'sampling-no-burst':
      return 'There is no burst to resolve; a sample a second shows everything else.'
    case 'next-mode': {
      const [low, high] = reason.rangeW
      return (
        `${reason.runs} more runs in a power mode that holds about ${sayNumber(reason.powerW, 2, 'W')} would tell the most: projections to ` +
        `${sayNumber(low, 2)} to ${sayNumber(high, 2, 'W')} would be known to ${groupDigits(reason.widthAfterPct, 1)} % ` +
        `(full width of the 90 % interval, on average) instead of ${groupDigits(reason.widthBeforePct, 1)} %.`
      )
    }
  }
}

const SLOWEST = {
  budget: 'a running average with a time constant of',
  heat: 'a heat sink with a time constant of',
  'timed-step': 'a step that comes after',
} as const
