import type { Estimate } from '../../numeric/statistics/estimate.js'
import type { Load, Stage } from '../../segment/load.js'
import type { BudgetShares } from '../../segment/shareBudget.js'
import { capitalised } from '../figures/capitalised.js'
import { sayDuration, sayMoment } from '../figures/sayDuration.js'
import { sayEstimate, sayNumber, sayPower, sayValue } from '../figures/sayEstimate.js'
import { heldByClauses } from './heldByWords.js'

/** The stages of a load in a sentence or two that can be quoted. */
export function concludeStages(load: Load): string {
  const { stages, sustained } = load
  if (stages.length === 0) return 'No stages found.'
  if (!sustained.reached)
    return `${wanders(stages) ? sayWander(load) : sayPath(stages)}. ${sayUnsettled(load)}`
  const last = stages.at(-1)!
  const cause = heldByClauses[last.heldBy.label]
  const level = sayEstimate(sustained.levelW, 'W')
  if (stages.length === 1)
    return `Sustains ${level} from start to end${saySwing(last)}${sayRunMean(load)}; ${cause}.`
  const since = `from ${sayMoment(last.startS - load.startS)} on${saySwing(last)}`
  const path = wanders(stages) ? sayWander(load) : sayPath(stages.slice(0, -1), last)
  return `${path}. Sustains ${level} ${since}${sayRunMean(load)}; ${cause}.`
}

/** Whether power goes up and down so often that its single stages tell a reader nothing: a task that varies, not a controller. */
function wanders(stages: readonly Stage[]): boolean {
  const ups = stages.slice(1).filter((stage, k) => stage.levelW.value > stages[k]!.levelW.value).length
  const downs = stages.length - 1 - ups
  return stages.length >= MANY_STAGES && Math.min(ups, downs) >= 2
}

/** A controller has a burst, two short-term levels and what they settle at; common practice, no source. */
const MANY_STAGES = 6

/** The range of the stages' mean powers, and the mean of all. */
function sayWander({ stages }: Load): string {
  const powersW = stages.map(({ levelW }) => levelW.value)
  const lengthsS = stages.map(({ startS, endS }) => endS - startS)
  const meanW =
    powersW.reduce((sum, powerW, k) => sum + powerW * lengthsS[k]!, 0) / lengthsS.reduce((a, b) => a + b, 0)
  const why = stages.at(-1)!.heldBy.label === 'demand' ? ' with the task' : ''
  return `Power goes up and down${why}, between ${sayPower(Math.min(...powersW))} and ${sayPower(Math.max(...powersW))} in ${stages.length} stages, ${sayPower(meanW)} on average`
}

/** @param after - the stage that follows, told elsewhere: a swing is told once */
function sayPath(stages: readonly Stage[], after?: Stage): string {
  const text = stages
    .map((stage, index) => {
      const name = index === 0 && stage.label === 'burst' ? 'burst ' : ''
      const lasted = sayDuration(stage.endS - stage.startS)
      const { decay } = stage
      const swing = (stages[index + 1] ?? after)?.cycle === undefined ? saySwing(stage) : ''
      if (!decay) return `${name}${sayValue(stage.levelW, 'W')} for ${lasted}${swing}`
      const way = stage.shape === 'rise' ? 'rising' : 'falling'
      return `${name}from ${sayPower(decay.fromW)} ${way} toward ${sayValue(decay.towardW, 'W')} over ${lasted}${swing}`
    })
    .join(', then ')
  return capitalised(text)
}

/** What a stage's power is the mean of, where it swings. */
function saySwing({ cycle }: Stage): string {
  if (cycle === undefined) return ''
  const { lowW, highW, periodS } = cycle
  return `, the mean of a swing between ${sayNumber(lowW, 3)} and ${sayNumber(highW, 3, 'W')} every ${sayDuration(periodS)}`
}

function sayUnsettled({ stages, runs, sustained }: Load): string {
  if (sustained.bounds !== null) {
    const { floorW, ceilingW } = sustained.bounds
    if (wanders(stages))
      return `Its last change comes too late to tell what it sustains: between ${sayNumber(floorW, 2)} and ${sayNumber(ceilingW, 2, 'W')}. Quote the average, and what it does.`
    return `${sayMeanOfRuns(stages.at(-1)!.levelW, runs)}That is too short for a sustained power: a limit or heat may still act. Its floor is ${sayNumber(floorW, 2, 'W')}, its ceiling ${sayNumber(ceilingW, 2, 'W')}. Test longer before you quote one (holdwatt plan says how long).`
  }
  const heading = sayEstimate(sustained.levelW, 'W')
  if (wanders(stages) && stages.at(-1)!.heldBy.label === 'demand')
    return `A task that varies so has no one sustained power: quote the average, and what it does. If it went on as at its end, it would come to ${heading}, an extrapolation.`
  return `The load ends before the power settles; it would settle at about ${heading}, an extrapolation. Test longer before you quote a sustained power (holdwatt plan says how long).`
}

/** Of a loop whose last stage is only how its runs go on: what they draw, with all that comes before in each. */
function sayMeanOfRuns({ value, high }: Estimate, runs: Load['runs']): string {
  if (runs.length < 2) return ''
  const meanW = meanOf(runs)
  if (meanW < high + OPENING_SHARE * value) return ''
  return `Its runs draw ${sayPower(meanW)} on average, each of which begins higher. `
}

function meanOf(runs: Load['runs']): number {
  return runs.reduce((sum, run) => sum + run.meanW, 0) / runs.length
}

/** Of a loop that opens every run anew, a reader who looks at the table, or at the plot, would miss the figure in the sentence. */
function sayRunMean({ stages, runs, sustained }: Load): string {
  if (runs.length < 2) return ''
  const { levelW, heldBy } = stages.at(-1)!
  const { low, high, value } = sustained.levelW
  if (levelW.value < low || levelW.value > high) {
    const why = heldBy.label === 'demand' ? 'and less between them' : 'as it recovers in the pauses'
    return ` (${sayValue(levelW, 'W')} on average in its runs, ${why})`
  }
  const meanW = meanOf(runs)
  if (meanW < high + OPENING_SHARE * value) return ''
  const why =
    heldBy.label === 'demand' ? ', each of which asks for more first' : ', each of which begins higher'
  return ` (${sayPower(meanW)} on average in its runs${why})`
}

/** What the openings of its runs add to a loop's mean is worth a clause from here on, as a share of what it sustains. */
const OPENING_SHARE = 0.05

/** What processor and graphics took of one budget, in a sentence: "The graphics took 18.0 W (17.8 to 18.2) of 60.0 W, …". */
export function sayShares({ totalW, processorW, graphicsW, restW }: BudgetShares, of = ''): string {
  const total = sayNumber(totalW, 3, 'W')
  const rest =
    Math.abs(restW.value) < LEAST_SHARE * totalW ? '' : `; ${sayNumber(restW.value, 2, 'W')} went elsewhere`
  return `${of === '' ? 'The' : `${of} the`} graphics took ${sayEstimate(graphicsW, 'W')} of ${total}, the processor ${sayEstimate(processorW, 'W')}${rest}.`
}

/** Less than sensors agree to is not worth a clause. */
const LEAST_SHARE = 0.02
