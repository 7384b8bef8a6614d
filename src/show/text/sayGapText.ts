import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Gap, GapPart } from '../../predict/gap/explainGap.js'
import type { HoldLabel } from '../../segment/load.js'
import { capitalised } from '../figures/capitalised.js'
import { NO_BREAK } from '../figures/digits.js'
import { sayEstimate, sayInterval, sayScore, sayValue } from '../figures/sayEstimate.js'

/**
 * The gap between two machines as a paragraph that needs no statistics: how large it is, what makes it up, what held each
 * machine, and what would have to change. Cautions are not in it: they have a paragraph of their own.
 */
export function sayGapText(gap: Gap): string {
  return [sizeOf(gap), causesOf(gap), heldBy(gap), changeNeeded(gap)]
    .filter((sentence) => sentence !== '')
    .join(' ')
}

/** The whole gap in percent of the second machine's score. */
export function gapPercent({ ratio }: Pick<Gap, 'ratio'>): Estimate {
  const percent = (value: number) => 100 * (value - 1)
  return {
    value: percent(ratio.value),
    low: percent(ratio.low),
    high: percent(ratio.high),
    level: ratio.level,
  }
}

/** Below this share of the score a part is not worth a clause. */
const LEAST_PERCENT = 0.5

function sizeOf(gap: Gap): string {
  const { a, b, ratio, better } = gap
  const scores = sayScores(gap)
  const percent = gapPercent(gap)
  if (ratio.low <= 1 && ratio.high >= 1 && Math.abs(percent.value) < 1) {
    return `In a long run ${a} and ${b} score the same within the uncertainty of the tests: ${scores}.`
  }
  const size = unsigned(percent)
  const amount = `${sayValue(size, '%')} ${sizeWord(gap)}`
  const interval = `${sayInterval(size, 'percent')}${NO_BREAK}%`
  const verb = better === 'lower' ? `takes ${amount} time` : `scores ${amount}`
  return `In a long run ${a} ${verb} than ${b} (${interval}): ${scores}.`
}

/** The steady scores as measured; where a test has none, those of the fitted models, named so. */
function sayScores({ steady, measured, unit }: Gap): string {
  const [a, b] = [measured.a?.steadyScore, measured.b?.steadyScore]
  if (a && b) return `${sayScore(a, unit)} against ${sayScore(b, unit)}, as measured`
  return `${sayScore(steady.a, unit)} against ${sayScore(steady.b, unit)}, as fitted`
}

function sizeWord({ ratio }: Gap): string {
  return ratio.value < 1 ? 'less' : 'more'
}

/** A percentage that words call more or less, without its sign. */
export function unsigned(percent: Estimate): Estimate {
  const { value, low, high, level } = percent
  return value < 0 ? { value: -value, low: -high, high: -low, level } : percent
}

function causesOf(gap: Gap): string {
  const parts = gap.parts
    .filter((part) => Math.abs(part.percent.value) >= LEAST_PERCENT)
    .sort((x, y) => Math.abs(y.logRatio.value) - Math.abs(x.logRatio.value))
  if (parts.length === 0) return 'No single cause accounts for more than 0.5 % of the score.'
  const clauses = parts.map((part, index) => {
    const { cause, plural } = causeOf(part, gap)
    const verb = index > 0 ? '' : plural ? ' account' : ' accounts'
    return `${cause}${verb} for ${sayPart(part)}`
  })
  return `${capitalised(joined(clauses))}.`
}

function sayPart({ percent }: GapPart): string {
  const sign = percent.value > 0 ? '+' : ''
  return `${sign}${sayEstimate(percent, '%')}`
}

function causeOf(part: GapPart, gap: Gap): { readonly cause: string; readonly plural: boolean } {
  const { a, b } = sustainedOf(gap)
  switch (part.name) {
    case 'chip at equal power':
      return { cause: 'the chip itself, at equal power,', plural: false }
    case 'sustained power':
      return {
        cause: `the power that each sustains (${sayValue(a, 'W')} against ${sayValue(b, 'W')})`,
        plural: false,
      }
    case 'burst and recovery':
      return { cause: 'bursts, and how fast they return after a pause,', plural: true }
    case 'pauses between runs':
      return { cause: 'the pauses between runs', plural: true }
    case 'temperature':
      return { cause: 'the chip temperature (a hotter chip leaks more power)', plural: false }
  }
}

function sustainedOf({ measured, sustainedW }: Gap): Gap['sustainedW'] {
  return {
    a: measured.a?.sustainedW ?? sustainedW.a,
    b: measured.b?.sustainedW ?? sustainedW.b,
  }
}

function heldBy({ a, b, heldBy: held }: Gap): string {
  if (held.a === held.b) {
    return held.a === 'undetermined'
      ? 'What holds the power of either machine is unknown.'
      : `Both machines are ${HELD[held.a]}.`
  }
  const clause = (name: string, label: HoldLabel) =>
    label === 'undetermined' ? `what holds ${name} is unknown` : `${name} is ${HELD[label]}`
  return `${capitalised(clause(a, held.a))}; ${clause(b, held.b)}.`
}

const HELD: Readonly<Record<Exclude<HoldLabel, 'undetermined'>, string>> = {
  'power-limit': 'held by a power limit, not by heat',
  heat: 'held by heat',
  demand: 'not limited, as the workload needs no more power',
}

function changeNeeded(gap: Gap): string {
  const { match, a, b } = gap
  if (!match) return ''
  const held = sustainedOf(gap)[match.machine === a ? 'a' : 'b']
  const other = match.machine === a ? b : a
  if (!match.sustainedW) {
    return `No sustained power would let ${match.machine} match ${other}: its chip or its bursts fall short.`
  }
  return (
    `To match ${other}, ${match.machine} would need to sustain ${sayEstimate(match.sustainedW, 'W')} ` +
    `instead of ${sayValue(held, 'W')}.`
  )
}

function joined(clauses: readonly string[]): string {
  if (clauses.length < 2) return clauses.join('')
  return `${clauses.slice(0, -1).join(', ')} and ${clauses.at(-1)}`
}
