import { medianAbsoluteDeviation } from '../../numeric/statistics/medianAbsoluteDeviation.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import { thin } from '../../numeric/thin.js'
import { FIRST_LONGER } from '../loads/joinSwings.js'
import type { Cycles } from './cycles.js'
import type { Series } from './fitPiece.js'

/** So many whole cycles show that power keeps swinging; a task of a few rounds has as many, where nothing else speaks for a swing. */
const FEWEST = 3
const MANY = 6
/** A program beside the task fills no larger share of the time. */
const VISIT_SHARE = 0.12
/** The levels of a swing lie apart by this share of the higher, and by so many times what scatters about the one that lasts longer. */
const APART_SHARE = 0.08
const APART_SCALES = 8
/** Share of the swing by which a phase may miss its level. */
export const ALIKE_SHARE = 0.25
/** Factor between the lengths of a phase and the next one of its kind, and samples that either may differ by besides. */
const ALIKE_LENGTH = 2
const SLACK_SAMPLES = 2
/** Power has changed sides once it is so far beyond the middle, as a share of the swing. */
const HYSTERESIS = 0.15
/** A log shows a cycle by so many samples; faster swings are noise to it. */
const LEAST_SAMPLES = 4
/** Phases of fewer samples average over their edges, and many have to come, after a long one, to be more than noise; instants then show anything. */
const WHOLE_SAMPLES = 4
const LONG_SAMPLES = 16
/** The two levels are looked for in these last parts of a stretch. */
const WINDOWS = [0.5, 0.75, 1] as const
/** So many samples tell the two levels. */
const ENOUGH = 4096

interface Phase {
  readonly from: number
  readonly to: number
  readonly high: boolean
}

/**
 * Finds power that swings between two levels up to the end of a stretch: a controller that lets go below one temperature and
 * cuts in above another, or a program beside the task that wakes up at even times.
 *
 * @param series - samples of one uninterrupted stretch
 * @returns null where power does not swing at least three times
 * @source two classes with the largest variance between them: N. Otsu (1979), IEEE Trans. Syst. Man Cybern. 9, 62-66
 */
export function findCycles(series: Series): Cycles | null {
  for (const share of WINDOWS) {
    const from = Math.floor((1 - share) * series.powerW.length)
    const levels = twoLevels(series.powerW.subarray(from))
    if (levels === null) return null
    const swingW = levels.highW - levels.lowW
    if (swingW < Math.max(APART_SHARE * levels.highW, APART_SCALES * levels.scatterW)) continue
    // In a coarse log a phase of one sample looks like a spike.
    const everySample = { ...series, weights: new Uint8Array(series.weights.length).fill(1) }
    const cycles = cyclesOf(series, levels) ?? cyclesOf(everySample, levels)
    if (cycles !== null) return cycles
  }
  return null
}

interface SwingLevels {
  readonly lowW: number
  readonly highW: number
  /** Robust deviation from the level that lasts longer, W. */
  readonly scatterW: number
}

/** The medians of the two classes of values with the largest variance between them; null where all are alike. */
function twoLevels(powerW: Float64Array): SwingLevels | null {
  const sorted = Float64Array.from(thin(powerW, ENOUGH)).sort()
  const total = sorted.reduce((sum, watts) => sum + watts, 0)
  let below = 0
  let best = { between: 0, at: 0 }
  for (let k = 1; k < sorted.length; k++) {
    below += sorted[k - 1]!
    const apart = (total - below) / (sorted.length - k) - below / k
    const between = k * (sorted.length - k) * apart * apart
    if (between > best.between) best = { between, at: k }
  }
  if (best.at === 0) return null
  const [low, high] = [sorted.subarray(0, best.at), sorted.subarray(best.at)]
  const [lowW, highW] = [quantile(low, 0.5), quantile(high, 0.5)]
  const scatterW = medianAbsoluteDeviation(
    low.length > high.length ? low.map((watts) => watts - lowW) : high.map((watts) => watts - highW),
  )
  return { lowW, highW, scatterW }
}

function cyclesOf(series: Series, levels: SwingLevels): Cycles | null {
  const phases = phasesOf(series, levels)
  // The end of the stretch breaks the last phase off.
  const last = phases.length - 1
  if (last < 2 * FEWEST || !breaksOff(phases[last]!, phases[last - 2]!, series, levels)) return null
  let first = last
  while (first > 0 && isPhase(phases[first - 1]!, series, levels)) {
    const next = first + 1
    if (next < last && !lastsAs(phases[first - 1]!, phases[next]!)) break
    first--
  }
  const whole = phases.slice(first, last)
  const before = phases[first - 1]
  if (whole.length < 2 * FEWEST || !isShown(whole, before, series.averaged)) return null
  const beginsLate = before !== undefined && isPhase(before, series, levels) && outlasts(before, whole)
  // Few cycles that begin at once may be the rounds of a task, unless they are visits to another level.
  if (whole.length < 2 * MANY && !beginsLate && !areVisits(whole)) return null
  const begins = [...whole, phases[last]!].map(({ from }) => from)
  return {
    edges: begins.filter((_, k) => k % 2 === 0),
    turns: begins.filter((_, k) => k % 2 === 1).slice(0, Math.floor(whole.length / 2)),
    opensHigh: whole[0]!.high,
    lowW: levels.lowW,
    highW: levels.highW,
    beginsLate,
  }
}

/** Usual length of the phases at one level, in samples. */
function usualSamples(phases: readonly Phase[], high: boolean): number {
  return quantile(phases.filter((phase) => phase.high === high).map(samplesOf), 0.5)
}

/** Whether the samples follow the phases, or are means and so many that they are no chance. */
function isShown(whole: readonly Phase[], before: Phase | undefined, averaged: boolean): boolean {
  const [high, low] = [usualSamples(whole, true), usualSamples(whole, false)]
  if (Math.min(high, low) >= WHOLE_SAMPLES) return true
  const isLong = before !== undefined && samplesOf(before) >= LONG_SAMPLES
  return averaged && isLong && high + low >= LEAST_SAMPLES && whole.length >= 4 * MANY
}

function outlasts(before: Phase, whole: readonly Phase[]): boolean {
  return samplesOf(before) > FIRST_LONGER * usualSamples(whole, before.high)
}

function areVisits(whole: readonly Phase[]): boolean {
  const [high, low] = [usualSamples(whole, true), usualSamples(whole, false)]
  return Math.min(high, low) <= VISIT_SHARE * (high + low)
}

function phasesOf({ powerW, weights }: Series, { lowW, highW }: SwingLevels): readonly Phase[] {
  const middleW = (lowW + highW) / 2
  const beyondW = HYSTERESIS * (highW - lowW)
  const phases: Phase[] = []
  let high = powerW[0]! > middleW
  let from = 0
  for (let i = 1; i < powerW.length; i++) {
    const hasTurned = high ? powerW[i]! < middleW - beyondW : powerW[i]! > middleW + beyondW
    if (weights[i] === 0 || !hasTurned) continue
    phases.push({ from, to: i, high })
    high = !high
    from = i
  }
  return [...phases, { from, to: powerW.length, high }]
}

function samplesOf({ from, to }: Phase): number {
  return to - from
}

/** Whether a phase is one level of the swing: its median is, or of few samples the farthest; what averages over its edges only has to lie within. */
function isPhase({ from, to, high }: Phase, { powerW }: Series, { lowW, highW }: SwingLevels): boolean {
  const inside = powerW.subarray(from, to)
  const share = to - from >= 5 ? 0.5 : high ? 1 : 0
  const beyondW = (quantile(inside, share) - (high ? highW : lowW)) * (high ? 1 : -1)
  const slackW = ALIKE_SHARE * (highW - lowW)
  return beyondW <= slackW && (to - from < WHOLE_SAMPLES || beyondW >= -slackW)
}

function lastsAs(phase: Phase, next: Phase): boolean {
  const [shorter, longer] = [samplesOf(phase), samplesOf(next)].sort((a, b) => a - b)
  return longer! <= ALIKE_LENGTH * shorter! + SLACK_SAMPLES
}

function breaksOff(last: Phase, before: Phase, series: Series, levels: SwingLevels): boolean {
  if (samplesOf(last) > ALIKE_LENGTH * samplesOf(before) + SLACK_SAMPLES) return false
  return samplesOf(last) <= SLACK_SAMPLES || isPhase(last, series, levels)
}
