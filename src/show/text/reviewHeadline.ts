import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { PairMean } from '../../predict/review/pairMeans.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import { capitalised } from '../figures/capitalised.js'
import { sayCount, sayValue } from '../figures/sayEstimate.js'
import { holdsNothing, modePrefix, percentOf, sayFaster } from './sayReviewText.js'

/** The verdict of a whole review in one sentence: which machine is the fastest where that is sure, as tested and at equal power. */
export function headlineOfReview(review: Review): string {
  const { machines, means } = review
  const [first] = means
  if (first === undefined) return headlineWithoutPairs(review)
  if (means.length === 1) return headlineOfPair(first)
  const leaders = [...new Set(means.map(({ mode }) => mode))].map((mode) => leadersIn(mode, means))
  const [leader] = leaders
  if (leaders.some(({ asTested }) => asTested !== leader!.asTested)) {
    return capitalised(leaders.map((of) => sayLeader(of, machines.length)).join('; '))
  }
  const everywhere = leaders.length > 1 ? ' in every power mode' : ''
  if (leader!.asTested === null) return `No machine is clearly ahead of all others${everywhere}`
  const fastest = machines.length > 2 ? 'the fastest' : `faster than ${otherThan(leader!.asTested, review)}`
  return `${leader!.asTested} is ${fastest}${everywhere}${sayAtEqualPower(leaders)}`
}

/** How far two machines are apart over workloads, as tested and at equal power: `Mains: Heron 14 is 4.0 % slower than Ibis 15, at equal power 4 %`. */
export function headlineOfPair({ a, b, mode, asTested, atEqualPower }: PairMean): string {
  const tested = percentOf(asTested.ratio)
  const start = holdsNothing(tested)
    ? `${a} and ${b} are level within the uncertainty of the tests`
    : `${a} is ${sayFaster(tested)} than ${b}`
  return `${modePrefix(mode)}${start}${atEqualPower === null ? '' : `; ${sayEqual(atEqualPower.ratio)}`}`
}

function sayEqual(ratio: Estimate): string {
  if (ratio.low === 1 && ratio.high === 1) return 'the chip is the same'
  const percent = percentOf(ratio)
  return `at equal power ${holdsNothing(percent) ? 'neither is clearly ahead' : sayFaster(percent)}`
}

/** Who is surely ahead of every other machine in a power mode; null where nobody is. */
interface Leaders {
  readonly mode: string | null
  readonly asTested: string | null
  readonly atEqualPower: string | null
  /** Whether all machines have the same chip. */
  readonly isOneChip: boolean
}

function leadersIn(mode: string | null, means: readonly PairMean[]): Leaders {
  const own = means.filter((mean) => mean.mode === mode)
  const ratios = own.map(({ atEqualPower }) => atEqualPower?.ratio)
  return {
    mode,
    asTested: leaderOf(own, ({ asTested }) => asTested.ratio),
    atEqualPower: leaderOf(own, ({ atEqualPower }) => atEqualPower?.ratio),
    isOneChip: ratios.every((ratio) => ratio?.low === 1 && ratio.high === 1),
  }
}

function leaderOf(
  means: readonly PairMean[],
  ratioOf: (mean: PairMean) => Estimate | undefined,
): string | null {
  const names = [...new Set(means.flatMap(({ a, b }) => [a, b]))]
  const isAhead = (name: string, mean: PairMean) => {
    const ratio = ratioOf(mean)
    if (ratio === undefined) return false
    return mean.a === name ? ratio.low > 1 : ratio.high < 1
  }
  const leader = names.find((name) => {
    const own = means.filter(({ a, b }) => a === name || b === name)
    return own.length === names.length - 1 && own.every((mean) => isAhead(name, mean))
  })
  return leader ?? null
}

function sayLeader({ mode, asTested }: Leaders, machines: number): string {
  const who =
    asTested === null
      ? 'no machine is clearly ahead'
      : `${asTested} is ${machines > 2 ? 'the fastest' : 'faster'}`
  return `${mode ?? 'mode not noted'}: ${who}`
}

function sayAtEqualPower(leaders: readonly Leaders[]): string {
  const names = new Set(leaders.map(({ atEqualPower }) => atEqualPower))
  const [leader] = leaders
  if (leaders.every(({ isOneChip }) => isOneChip)) return '; the chip is the same'
  if (names.size > 1) return '; at equal power that depends on the power mode'
  if (leader!.atEqualPower === leader!.asTested) return ', as tested and at equal power'
  return leader!.atEqualPower === null
    ? '; at equal power none is clearly ahead'
    : `; at equal power ${leader!.atEqualPower} is`
}

function otherThan(name: string, { machines }: Review): string {
  return machines.find(({ machine }) => machine !== name)!.machine
}

function headlineWithoutPairs({ machines, results, modes }: Review): string {
  const workloads = sayCount(new Set(results.map(({ workload }) => workload)).size, 'workload')
  if (machines.length > 1)
    return `${machines.map(({ machine }) => machine).join(', ')}: no workload in common`
  const { machine } = machines[0]!
  const [mode] = modes
  if (mode === undefined) return `${machine} in ${workloads}`
  const kept = {
    ...mode.ratio,
    value: 100 * mode.ratio.value,
    low: 100 * mode.ratio.low,
    high: 100 * mode.ratio.high,
  }
  return `${machine}: ${mode.mode ?? 'unnamed mode'} gives ${sayValue(kept, '%')} of the speed of ${mode.against ?? 'unnamed mode'}`
}
