import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { ModeMean } from '../../predict/review/modeMeans.js'
import type { LeftOut, PairMean } from '../../predict/review/pairMeans.js'
import type { Review } from '../../predict/review/reviewMachines.js'
import { capitalised } from '../figures/capitalised.js'
import { NO_BREAK } from '../figures/digits.js'
import { gainPercent } from '../figures/sayElasticity.js'
import { sayCount, sayEstimate, sayGivenPower, sayInterval, sayValue } from '../figures/sayEstimate.js'
import { unsigned } from './sayGapText.js'

/** What a reviewer may quote: a paragraph for each pair of machines in each mode, and one for each mode of a machine. */
export function sayReviewText(review: Review): readonly string[] {
  const { pairs, dependence, modes } = reviewTexts(review)
  return [...pairs, ...dependence, ...modes]
}

/** The same by what it is about: pairs of machines, what depends on power, and power modes of a machine. */
export function reviewTexts(review: Review): {
  readonly pairs: readonly string[]
  readonly dependence: readonly string[]
  readonly modes: readonly string[]
} {
  const modes = [...new Set(review.results.map(({ mode }) => mode))]
  return {
    pairs: review.means.map((mean) => sayPairMean(mean, review)),
    dependence: modes.flatMap((mode) => sayDependence(review, mode)),
    modes: review.modes.map((mode) => sayModeMean(mode)),
  }
}

/** How much faster one machine is than the other over workloads, as tested and at equal power, and why. */
function sayPairMean(mean: PairMean, review: Review): string {
  return [
    `${modePrefix(mean.mode)}${sayAsTested(mean)}`,
    sayEqualPower(mean, review),
    sayCauses(mean),
    sayPowerless(mean, review),
  ]
    .filter((sentence) => sentence !== '')
    .join(' ')
}

function sayAsTested({ a, b, asTested }: PairMean): string {
  const over = sayCount(asTested.workloads.length, 'workload')
  const percent = percentOf(asTested.ratio)
  const mean = asTested.workloads.length > 1 ? `the geometric mean over ${over}` : 'one workload'
  if (holdsNothing(percent)) {
    return `${a} and ${b} are level within the uncertainty of the tests (${signedInterval(percent)}), ${mean}.`
  }
  return `${a} is ${sayFaster(percent)} than ${b} (${sayUnsigned(percent)}), ${mean}.`
}

function sayEqualPower({ a, mode, asTested, atEqualPower }: PairMean, { results }: Review): string {
  if (atEqualPower === null) return 'No workload has the power of both, so nothing is told at equal power.'
  const count = atEqualPower.workloads.length
  const powers = new Set(
    results
      .filter((of) => of.mode === mode && of.inMeans && atEqualPower.workloads.includes(of.workload))
      .map(({ atW }) => atW),
  )
  // Each workload has its own, unless there is one, or a person set it.
  const [atW] = powers
  const at = powers.size === 1 && atW != null ? ` (${sayGivenPower(atW)})` : ''
  const over = `${at}${count === asTested.workloads.length ? '' : `, in the ${count} whose power is known,`}`
  const { ratio } = atEqualPower
  if (ratio.low === 1 && ratio.high === 1) return `At equal power${over} they are equal: it is the same chip.`
  const percent = percentOf(ratio)
  if (holdsNothing(percent))
    return `At equal power${over} neither is clearly ahead (${signedInterval(percent)}).`
  return `At equal power${over} ${a} is ${sayFaster(percent)} (${sayUnsigned(percent)}).`
}

/** A part below this share of the score is not worth a clause, per cent. */
const LEAST_PERCENT = 0.5

const CAUSES = {
  chip: 'the chip',
  power: 'the power that each held',
  temperature: 'temperature',
  rest: 'what neither explains',
} as const

function sayCauses({ parts, asTestedThere, asTested, atEqualPower }: PairMean): string {
  if (parts === null || asTestedThere === null) return ''
  const told = parts
    .filter(({ percent }) => Math.abs(percent.value) >= LEAST_PERCENT)
    .sort((x, y) => Math.abs(y.logRatio.value) - Math.abs(x.logRatio.value))
    .map(({ name, percent }, index) => `${CAUSES[name]}${index === 0 ? ' makes' : ''} ${signed(percent)}`)
  if (told.length === 0) return ''
  const isSame = asTested.workloads.length === atEqualPower?.workloads.length
  const there = isSame
    ? 'Of the difference as tested'
    : `Of ${signed(percentOf(asTestedThere))} as tested in those`
  return `${there}, ${listed(told)}.`
}

/** Workloads in which the difference between two machines has nothing to do with power. */
function sayPowerless({ a, b, mode }: PairMean, { results }: Review): string {
  const names = results.flatMap(({ workload, inMeans, mode: of, pairs }) => {
    const pair = pairs.find((each) => each.a === a && each.b === b)
    return inMeans && of === mode && pair?.powerExplains === 'nothing' ? [workload] : []
  })
  if (names.length === 0) return ''
  return `Power explains none of the difference in ${listed(names)}.`
}

function sayModeMean({ machine, mode, against, ratio, results }: ModeMean): string {
  const kept = { ...ratio, value: 100 * ratio.value, low: 100 * ratio.low, high: 100 * ratio.high }
  const count = new Set(results.map(({ workload }) => workload)).size
  const over = count === 1 ? 'one workload' : `the geometric mean over ${sayCount(count, 'workload')}`
  return `${machine}: ${mode ?? 'unnamed mode'} gives ${sayEstimate(kept, '%')} of the speed of ${against ?? 'unnamed mode'}, ${over}.`
}

/** Which results more power would move, and which not, whatever the machine. */
function sayDependence({ results }: Review, mode: string | null): readonly string[] {
  const own = results.filter((result) => result.mode === mode && result.inMeans)
  const verdicts = own.map(({ workload, machines }) => {
    const known = machines.flatMap((of) => (of.elasticity === null ? [] : [of]))
    return { workload, known, verdicts: new Set(known.map(({ dependsOnPower }) => dependsOnPower)) }
  })
  const moved = verdicts.flatMap(({ workload, known, verdicts: of }) =>
    of.size === 1 && of.has('yes')
      ? [`${workload} ${sayRange(known.map(({ elasticity }) => elasticity!))}`]
      : [],
  )
  const still = verdicts.flatMap(({ workload, verdicts: of }) =>
    of.size > 0 && [...of].every((verdict) => verdict === 'task' || verdict === 'no') ? [workload] : [],
  )
  const clauses = [
    ...(moved.length === 0 ? [] : [`ten per cent more power would make ${listed(moved)} faster`]),
    ...(still.length === 0 ? [] : [`a higher power limit would change nothing in ${listed(still)}`]),
  ]
  const text = clauses.join('; ')
  return text === '' ? [] : [`${modePrefix(mode)}${mode === null ? capitalised(text) : text}.`]
}

/** What ten per cent more power makes of a rate, over all machines. */
function sayRange(elasticities: readonly Estimate[]): string {
  const gains = elasticities.map((elasticity) => gainPercent(elasticity, { better: 'higher' }))
  const low = Math.min(...gains.map((of) => of.low))
  const high = Math.max(...gains.map((of) => of.high))
  return `${sayInterval({ value: (low + high) / 2, low, high, level: 0.9 }, 'percent')}${NO_BREAK}%`
}

/** What a mean leaves out, and why; empty when nothing. */
export function sayLeftOut(leftOut: readonly LeftOut[]): string {
  const clauses = (Object.keys(REASONS) as LeftOut['reason'][]).flatMap((reason) => {
    const names = leftOut
      .filter((each) => each.reason === reason)
      .map(({ workload, metric }) => (reason === 'another-metric' ? `${metric} of ${workload}` : workload))
    return names.length === 0 ? [] : [`${listed([...new Set(names)])} (${REASONS[reason]})`]
  })
  return clauses.length === 0 ? '' : `${capitalised(`left out of means: ${clauses.join('; ')}`)}.`
}

const REASONS = {
  'another-metric': 'each workload counts once, by its first metric',
  'one-machine': 'tested on one of the two machines only',
  'no-power': 'no power was logged, so as tested only',
} as const

/** Which runs the scores are means of. Where that differs between the modes of a workload, by what rule. */
export function sayBasis(results: Review['results']): string {
  const steady = results.filter(({ basis }) => basis === 'steady').map(({ workload }) => workload)
  const all = 'Scores as tested are means of all runs'
  if (steady.length === 0) return `${all}.`
  if (results.some(({ workload, basis }) => basis === 'all' && steady.includes(workload))) {
    return 'Scores as tested are means of the last three runs where the power had settled on every machine, else of all runs.'
  }
  if (results.every(({ basis }) => basis === 'steady')) {
    return 'Scores as tested are means of the last three runs, where the power had settled on every machine.'
  }
  return `${all}; those of ${listed([...new Set(steady)])} are of the last three runs, where the power had settled on every machine.`
}

export function modePrefix(mode: string | null): string {
  return mode === null ? '' : `${capitalised(mode)}: `
}

export function percentOf({ value, low, high, level }: Estimate): Estimate {
  return { value: 100 * (value - 1), low: 100 * (low - 1), high: 100 * (high - 1), level }
}

/** `6.8 % slower`, without its interval. */
export function sayFaster(percent: Estimate): string {
  return `${sayValue(unsigned(percent), '%')} ${percent.value > 0 ? 'faster' : 'slower'}`
}

function sayUnsigned(percent: Estimate): string {
  return `${sayInterval(unsigned(percent), 'percent')}${NO_BREAK}%`
}

function signed(percent: Estimate): string {
  return `${percent.value > 0 ? '+' : ''}${sayEstimate(percent, '%')}`
}

function signedInterval(percent: Estimate): string {
  return `${sayInterval(percent, 'percent')}${NO_BREAK}%`
}

export function holdsNothing({ low, high }: Estimate): boolean {
  return low <= 0 && high >= 0
}

/** `a, b and c`. */
export function listed(parts: readonly string[]): string {
  if (parts.length < 2) return parts.join('')
  // Names with a comma of their own are set apart by semicolons.
  const separator = parts.some((part) => part.includes(',')) ? '; ' : ', '
  return `${parts.slice(0, -1).join(separator)}${separator === '; ' ? '; and ' : ' and '}${parts.at(-1)}`
}
