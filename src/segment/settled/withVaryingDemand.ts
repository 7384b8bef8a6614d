import type { Trace } from '../../log/trace.js'
import { bisectRight } from '../../numeric/bisectRight.js'
import { ESTIMATE_LEVEL, type Estimate } from '../../numeric/statistics/estimate.js'
import { mean, standardDeviation } from '../../numeric/statistics/moments.js'
import { studentTQuantile } from '../../numeric/statistics/studentT.js'
import type { Load, Stage } from '../load.js'

/** The contract's time for a cause that other columns prove, s. */
const PROVEN_S = 120
/** Batch means: enough to tell their scatter, each long enough to hold several ups and downs. */
const BLOCKS = 8
/** Means of both halves may differ by so many standard errors, and by this share: more is a course, no task that comes and goes. */
const HALVES_ERRORS = 2
const HALVES_SHARE = 0.01
/** What no model of a task says, as a share: the interval of a mean is never narrower. */
const LEAST_SHARE = 0.005

/**
 * A load whose power goes up and down with its task, as one stage: what the machine could draw is not asked for, so that its mean is what it
 * sustains. Not so where the columns of any stage speak of a limit or of heat, where two long stages differ (phases of the task, worth telling
 * one by one), or where the power has a course from one half of the load to the other.
 *
 * @returns the load with one stage and its mean, or as it was
 * @source batch means: B. Schmeiser (1982), Oper. Res. 30, 556-568 (from memory)
 */
export function withVaryingDemand(trace: Trace, load: Load): Load {
  const { stages, runs, startS, endS } = load
  const isSettledLevel = stages.length < FEWEST_STAGES && load.sustained.reached
  if (runs.length > 1 || endS - startS < PROVEN_S || isSettledLevel || !isDemand(stages)) return load
  if (stages.filter((stage) => stage.endS - stage.startS >= PROVEN_S).length > 1) return load
  const levelW = steadyMean(trace, load)
  if (levelW === null) return load
  const powersW = stages.map((stage) => stage.levelW.value)
  const varies = `power goes up and down with the task, between ${Math.min(...powersW).toFixed(1)} and ${Math.max(...powersW).toFixed(1)} W`
  const { evidence } = stages.at(-1)!.heldBy
  const stage: Stage = {
    label: 'sustained',
    shape: 'level',
    startS,
    endS,
    startInterval: null,
    levelW,
    decay: null,
    heldBy: { label: 'demand', evidence: stages.length > 1 ? [...evidence, varies] : evidence },
  }
  const atOnce = { value: 0, low: 0, high: 0, level: ESTIMATE_LEVEL }
  const sustained = { reached: true, levelW, fromS: startS, settleAfterS: atOnce, bounds: null }
  return { ...load, stages: [stage], sustained }
}

/** A burst and what follows it are told as they are. */
const FEWEST_STAGES = 3

/** The columns say so of the last stage, and of no other anything else; those before the first drop they often leave open. */
function isDemand(stages: readonly Stage[]): boolean {
  const labels = stages.map(({ heldBy }) => heldBy.label)
  const first = labels.indexOf('demand')
  return (
    first >= 0 &&
    labels.slice(first).every((label) => label === 'demand') &&
    labels.slice(0, first).every((label) => label === 'undetermined')
  )
}

/** Mean power over equal parts of a load with its interval; null where the halves differ. */
function steadyMean({ timesS, powerW }: Trace, { startS, endS }: Load): Estimate | null {
  const sums = Array.from({ length: BLOCKS }, () => ({ joules: 0, seconds: 0 }))
  // The first sample behind the start may hold some of the time before it.
  for (let i = bisectRight(timesS, startS) + 1; i < timesS.length && timesS[i]! <= endS; i++) {
    if (!Number.isFinite(powerW[i]!)) continue
    const part = (BLOCKS * (timesS[i]! - startS)) / (endS - startS)
    const block = sums[Math.min(BLOCKS - 1, Math.floor(part))]!
    const seconds = timesS[i]! - timesS[i - 1]!
    block.joules += powerW[i]! * seconds
    block.seconds += seconds
  }
  if (sums.some(({ seconds }) => seconds === 0)) return null
  const means = sums.map(({ joules, seconds }) => joules / seconds)
  const value = mean(means)!
  const scatterW = standardDeviation(means)!
  const halvesW = Math.abs(mean(means.slice(0, BLOCKS / 2))! - mean(means.slice(BLOCKS / 2))!)
  const errorW = (2 * scatterW) / Math.sqrt(BLOCKS)
  if (halvesW > HALVES_ERRORS * errorW + HALVES_SHARE * value) return null
  const t = studentTQuantile((1 + ESTIMATE_LEVEL) / 2, BLOCKS - 1)
  const half = Math.max((t * scatterW) / Math.sqrt(BLOCKS), LEAST_SHARE * value)
  return { value, low: value - half, high: value + half, level: ESTIMATE_LEVEL }
}
