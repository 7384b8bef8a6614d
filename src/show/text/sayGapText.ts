import type { Gap, GapPart } from '../../predict/gap/explainGap.js'
import type { HoldLabel } from '../../segment/load.js'
import { sayCautions } from './sayCaution.js'
import { groupDigits, sayEstimate, sayNumber } from './sayEstimate.js'

/**
 * The gap between two machines as a paragraph that needs no statistics: how large it is, what makes it up, what each machine
 * was held by, and what would have to change.
 */
export function sayGapText(gap: Gap): string {
  return [sizeOf(gap), causesOf(gap), heldBy(gap), changeNeeded(gap), sayCautions(gap.cautions)]
    .filter((sentence) => sentence !== '')
    .join(' ')
}

/** Below this share of the score a part is not worth a clause. */
const LEAST_PERCENT = 0.5

function sizeOf({ a, b, ratio, better, steady, unit }: Gap): string {
  const scores = `${sayEstimate(steady.a, unit)} against ${sayEstimate(steady.b, unit)}`
  const percent = 100 * (ratio.value - 1)
  if (ratio.low <= 1 && ratio.high >= 1 && Math.abs(percent) < 1) {
    return `In a long run ${a} and ${b} are level within what the tests can tell (${scores}).`
  }
  const size = `${groupDigits(Math.abs(percent), 1)} %`
  if (better === 'lower') {
    return `In a long run ${a} takes ${size} ${percent > 0 ? 'more' : 'less'} time than ${b} (${scores}).`
  }
  return `In a long run ${a} scores ${size} ${percent < 0 ? 'less' : 'more'} than ${b} (${scores}).`
}

function causesOf(gap: Gap): string {
  const parts = gap.parts
    .filter((part) => Math.abs(part.percent.value) >= LEAST_PERCENT)
    .sort((x, y) => Math.abs(y.logRatio.value) - Math.abs(x.logRatio.value))
  if (parts.length === 0) return 'No single cause makes up more than half a per cent of the score.'
  const clauses = parts.map((part) => clauseOf(part, gap))
  return `${capitalised(joined(clauses))}.`
}

function clauseOf(part: GapPart, gap: Gap): string {
  const percent = `${part.percent.value > 0 ? '+' : '−'}${groupDigits(Math.abs(part.percent.value), 1)} %`
  const { a, b } = gap.sustainedW
  switch (part.name) {
    case 'chip at equal power':
      return `the chip itself, at equal watts, makes ${percent}`
    case 'sustained power':
      return `the power that each holds for good (${sayNumber(a.value, 3, 'W')} against ${sayNumber(b.value, 3, 'W')}) makes ${percent}`
    case 'burst and recovery':
      return `bursts, and how fast they come back after a pause, make ${percent}`
    case 'pauses between runs':
      return `the pauses between runs of the two tests make ${percent}`
    case 'temperature':
      return `the temperature of the silicon (hotter chips leak more) makes ${percent}`
  }
}

function heldBy({ a, b, heldBy: held }: Gap): string {
  if (held.a === held.b) return `Both were ${HELD[held.a]}.`
  return `${a} was ${HELD[held.a]}, ${b} was ${HELD[held.b]}.`
}

const HELD: Readonly<Record<HoldLabel, string>> = {
  'power-limit': 'held down by a set power limit, not by heat',
  heat: 'held down by heat',
  demand: 'not held down at all: the task asked for no more',
  undetermined: 'held down by something that the log can’t tell (heat or a set limit)',
}

function changeNeeded({ match, a, b }: Gap): string {
  if (!match) return ''
  const other = match.machine === a ? b : a
  if (!match.sustainedW) {
    return `No sustained power would let ${match.machine} match ${other}: its chip or its limits on bursts are what it lacks.`
  }
  return (
    `To match ${other}, ${match.machine} would need to hold ${sayEstimate(match.sustainedW, 'W')} ` +
    `instead of ${sayNumber(match.heldW, 3, 'W')}.`
  )
}

function joined(clauses: readonly string[]): string {
  if (clauses.length < 2) return clauses.join('')
  return `${clauses.slice(0, -1).join(', ')} and ${clauses.at(-1)}`
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
