import type { Trace } from '../../log/trace.js'
import { lengthOf, type RoundDifference, roundComparer } from './roundLikeness.js'
import type { WorkRange } from './workRanges.js'

/**
 * Stretches of work grouped into loads: neighbours are one load when they are rounds of one loop.
 *
 * Rounds of a loop are told by likeness: of length, of power and its course, and of the pauses between them. Fixed work takes longer while power
 * falls, a first round has a burst that later ones lack, and the last may be broken off: so three stretches with like pauses need be
 * alike only roughly, while two alone have to match closely.
 */
export function groupRounds(trace: Trace, ranges: readonly WorkRange[]): readonly (readonly WorkRange[])[] {
  const compare = roundComparer(trace)
  const lengthsS = ranges.map((range) => lengthOf(trace, range))
  const pairs = ranges.slice(1).map((range, k): Pair => {
    const before = ranges[k]!
    return {
      ...compare(before, range),
      pauseS: trace.timesS[range.from - 1]! - trace.timesS[before.to - 1]!,
      shorterS: Math.min(lengthsS[k]!, lengthsS[k + 1]!),
    }
  })
  const links = linkChains(pairs, trace.intervalS).map(
    (linked, k) => linked || isCloseMatch(pairs[k]!) || isWait(pairs[k]!),
  )
  linkEnds(links, pairs, trace.intervalS)
  linkFragments(links, pairs)
  const groups: WorkRange[][] = []
  ranges.forEach((range, k) => {
    if (k > 0 && links[k - 1]) groups.at(-1)!.push(range)
    else groups.push([range])
  })
  return groups
}

interface Pair extends RoundDifference {
  readonly pauseS: number
  /** Length of the shorter of the two. */
  readonly shorterS: number
}

/**
 * Logarithm of the ratio of two lengths, distance of two courses, and how far the later one rises: of rounds in a row whose pauses match.
 * A chassis takes power away from later rounds, and gives little back.
 */
const ROUGHLY = { length: 0.5, course: 0.35, risen: 0.12, work: 0.15 }
/** Of rounds whose pauses differ, as of a loop started by hand. */
const CLOSELY = { length: 0.12, course: 0.12, pause: Math.log(2) }
/** Of two rounds alone, by how long the pause between them is, in seconds and against their length: how well they have to match. */
const PAIRS = [
  { work: 0.02, length: 0.02, course: 0.04, pauseS: Number.POSITIVE_INFINITY, pauseShare: 1 },
  { work: 0.03, length: 0.05, course: 0.06, pauseS: 30, pauseShare: 1 },
  { work: 0.03, length: 0.3, course: 0.2, pauseS: 15, pauseShare: 0.25 },
] as const
/** Fixed work takes longer at less power: length goes as power to minus this, more or less. */
const LENGTH_EXPONENT = { value: 0.5, spread: 0.35 }
/** Pauses of so few samples may be missed between others: the rounds then seem to be of several lengths. */
const BRIEF = { pauseSamples: 2.2, power: Math.log(1.3), shortestS: 8 }
/** Of rounds between which pauses were lost. */
const SEVERAL = { pauseShare: 0.5, most: 5, length: 0.08, power: Math.log(1.35) }
/** A first round may be quicker than the next by fixed work at full power, and the last be broken off. */
const FIRST = { shortest: Math.log(0.4), longest: Math.log(1.15), leastPower: 0.9, mostPower: 2.5 }
const LAST = { longest: Math.log(1.15), course: 0.35 }

function linkChains(pairs: readonly Pair[], intervalS: number): boolean[] {
  const links = pairs.map(() => false)
  for (let k = 0; k + 1 < pairs.length; k++) {
    const [a, b] = [pairs[k]!, pairs[k + 1]!]
    const like = (pair: Pair) =>
      isWithin(pair, ROUGHLY) && pair.risen <= ROUGHLY.risen && isSameWork(pair, ROUGHLY.work)
    const rough = like(a) && like(b) && samePause(a, b, intervalS)
    const spans =
      a.length > 0 && b.length < 0 && spansSeveral(a) && spansSeveral(b) && samePause(a, b, intervalS)
    const close =
      isWithin(a, CLOSELY) && isWithin(b, CLOSELY) && Math.abs(Math.log(a.pauseS / b.pauseS)) <= CLOSELY.pause
    const brief = isBrief(a, intervalS) && isBrief(b, intervalS)
    if (rough || spans || close || brief) links[k] = links[k + 1] = true
  }
  return links
}

function isWithin(
  pair: Pair,
  { length, course }: { readonly length: number; readonly course: number },
): boolean {
  return Math.abs(pair.length) <= length && Math.min(pair.stretched, pair.clocked) <= course
}

function isBrief({ pauseS, shorterS, power, clocked }: Pair, intervalS: number): boolean {
  return (
    pauseS <= BRIEF.pauseSamples * intervalS &&
    shorterS >= BRIEF.shortestS &&
    (Math.abs(Math.log(power)) <= BRIEF.power || clocked <= LAST.course)
  )
}

/** A wait within the task: nobody starts another one so soon at the same power. Common practice, no source. */
const WAIT = { pauseS: 4, pauseShare: 0.2, shortestS: 4, longestS: 20, power: Math.log(1.15) }

function isWait({ pauseS, shorterS, length, power }: Pair): boolean {
  const longerS = shorterS * Math.exp(Math.abs(length))
  return (
    pauseS <= Math.min(WAIT.pauseS, WAIT.pauseShare * longerS) &&
    shorterS >= WAIT.shortestS &&
    longerS >= WAIT.longestS &&
    Math.abs(Math.log(power)) <= WAIT.power
  )
}

/** Whether one of two is as long as several rounds of the other: the log lost the pauses in between, as of a sensor that was stuck. */
function spansSeveral({ length, power, shorterS, pauseS }: Pair): boolean {
  const longerS = shorterS * Math.exp(Math.abs(length))
  const rounds = Math.round((longerS + pauseS) / (shorterS + pauseS))
  const expectedS = rounds * (shorterS + pauseS) - pauseS
  return (
    pauseS <= SEVERAL.pauseShare * shorterS &&
    rounds >= 2 &&
    rounds <= SEVERAL.most &&
    Math.abs(Math.log(longerS / expectedS)) <= SEVERAL.length &&
    Math.abs(Math.log(power)) <= SEVERAL.power
  )
}

/** Pauses of a script are equal, but for the sampling at both ends and the start of the task. */
const PAUSE_SLACK_S = 0.3
const PAUSE_SLACK_SHARE = 0.05

function samePause(a: Pair, b: Pair, intervalS: number): boolean {
  const slackS = PAUSE_SLACK_S + 2 * intervalS + PAUSE_SLACK_SHARE * Math.max(a.pauseS, b.pauseS)
  return Math.abs(a.pauseS - b.pauseS) <= slackS
}

function isCloseMatch(pair: Pair): boolean {
  return PAIRS.some(
    (bounds) =>
      isWithin(pair, bounds) &&
      isSameWork(pair, bounds.work) &&
      pair.pauseS <= Math.min(bounds.pauseS, bounds.pauseShare * pair.shorterS),
  )
}

/** Whether both take as long as the same work does at their powers, to within a share of its length. */
function isSameWork({ length, power }: Pair, slack: number): boolean {
  const unlike = Math.abs(length - LENGTH_EXPONENT.value * Math.log(power))
  return unlike <= slack + LENGTH_EXPONENT.spread * Math.abs(Math.log(power))
}

/** Links the first and the last round of each chain, which are told by their pauses. */
function linkEnds(links: boolean[], pairs: readonly Pair[], intervalS: number): void {
  const chained = [...links]
  pairs.forEach((pair, k) => {
    if (chained[k]) return
    const [before, after] = [pairs[k - 1], pairs[k + 1]]
    const isFirst = chained[k + 1] && samePause(pair, after!, intervalS) && opensLoop(pair)
    const isLast = chained[k - 1] && samePause(before!, pair, intervalS) && breaksOff(pair)
    if (isFirst || isLast) links[k] = true
  })
}

/**
 * Of a task that waits again and again: pieces so short, with pauses so short between them, and powers that differ by no more, for sure by no more than
 * the last; so many in a row. Common practice, no source.
 */
const FRAGMENT = { pauseS: 10, longestS: 20, power: Math.log(1.6), samePower: Math.log(1.15), pairs: 3 }

/** Links what a task leaves that waits at uneven times: many short pieces with short pauses, few of them alike enough to be rounds, or all of one power. */
function linkFragments(links: boolean[], pairs: readonly Pair[]): void {
  const isFragment = ({ pauseS, shorterS, power }: Pair) =>
    pauseS <= FRAGMENT.pauseS && shorterS <= FRAGMENT.longestS && Math.abs(Math.log(power)) <= FRAGMENT.power
  for (let from = 0; from < pairs.length; from++) {
    let to = from
    while (to < pairs.length && isFragment(pairs[to]!)) to++
    const linked = links.slice(from, to).filter((link) => link).length
    const isOfOnePower = pairs
      .slice(from, to)
      .every(({ power }) => Math.abs(Math.log(power)) <= FRAGMENT.samePower)
    if (to - from >= FRAGMENT.pairs && (isOfOnePower || 2 * linked < to - from)) links.fill(true, from, to)
    from = to
  }
}

function opensLoop({ length, power }: Pair): boolean {
  return (
    -length >= FIRST.shortest &&
    -length <= FIRST.longest &&
    power >= FIRST.leastPower &&
    power <= FIRST.mostPower
  )
}

function breaksOff({ length, clocked }: Pair): boolean {
  return length <= LAST.longest && clocked <= LAST.course
}
