import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Cycles } from '../cut/cycles.js'
import type { Stretch } from '../cut/stretch.js'
import type { HeldBy, StageCycle } from '../load.js'
import type { DraftStage } from './draftStage.js'
import { celsiusIn } from './explainGradual.js'

/** A phase that fills less of the time is a visit to the other level, which is then explained like every level. */
const LEAST_SHARE = 0.15
/** Temperatures at which a controller cuts in agree to so many K, and lie so far above those at which it lets go. */
const AGREE_K = 3
const APART_K = 2
/** Fewer falls or returns tell no temperature. */
const FEWEST = 3
/** The swing's first fall is the stage's own edge, known to a few seconds. */
const EARLIER_S = 5

/** How power swings in a stage, by the last of its cycles; undefined where it doesn't. */
export function cycleOf({ stretches }: DraftStage): StageCycle | undefined {
  const last = stretches.at(-1)!
  const { cycles, timesS } = last.run.series
  if (cycles === undefined || !isWithin(last, cycles)) return undefined
  const { edges, turns, opensHigh, lowW, highW } = cycles
  const from = Math.max(0, turns.length - LAST_CYCLES)
  const periods = turns
    .slice(from)
    .map((_, k) => timesS[edges[from + k + 1]! - 1]! - timesS[edges[from + k]! - 1]!)
  const opens = turns.slice(from).map((turn, k) => timesS[turn - 1]! - timesS[edges[from + k]! - 1]!)
  const periodS = quantile(periods, 0.5)
  const openShare = quantile(opens, 0.5) / periodS
  return { lowW, highW, periodS, highShare: opensHigh ? openShare : 1 - openShare }
}

/** So many of the last cycles tell what a swing has come to. */
const LAST_CYCLES = 5

/** A stage that begins with the swing, or within it. */
function isWithin({ part }: Stretch, { edges }: Cycles): boolean {
  return part.to - Math.max(part.from, edges[0]!) > OVERLAP * (part.to - part.from)
}

/** Share of a stage's samples that lie in the swing: its edge is known to a few samples. */
const OVERLAP = 0.8

/**
 * What makes power swing: heat where it falls at one temperature and comes back at another, and where the first fall came later, as the
 * chassis had to warm up. A task that works and waits by turns makes temperature swing with it, but begins to do so at once.
 *
 * @returns null where one level fills nearly all of the time
 */
export function explainCycles(trace: Trace, draft: DraftStage, cycle: StageCycle): HeldBy | null {
  const { lowW, highW, periodS, highShare } = cycle
  if (Math.min(highShare, 1 - highShare) < LEAST_SHARE) return null
  const stretch = draft.stretches.at(-1)!
  const { timesS, cycles } = stretch.run.series
  const [falls, returns] = cycles!.opensHigh ? [cycles!.turns, cycles!.edges] : [cycles!.edges, cycles!.turns]
  const fallC = celsiusBefore(trace, stretch, falls)
  const returnC = celsiusBefore(trace, stretch, returns)
  const swings = `power swings between ${lowW.toFixed(0)} W and ${highW.toFixed(0)} W every ${periodS.toFixed(0)} s`
  const undetermined = (why: string): HeldBy => ({ label: 'undetermined', evidence: [swings, why] })
  if (fallC.length < FEWEST || returnC.length < FEWEST) {
    const missing = trace.temperatureC === null ? '; the log has no temperature to show which' : ''
    return undetermined(`a controller of the temperature does so, and a task that works by turns${missing}`)
  }
  const [hotC, coolC] = [quantile(fallC, 0.5), quantile(returnC, 0.5)]
  const [leastC, mostC] = [Math.min(...fallC), Math.max(...fallC)]
  const isOneTemperature = Math.max(hotC - leastC, mostC - hotC) <= AGREE_K
  if (!isOneTemperature || hotC - coolC < APART_K || !cycles!.beginsLate)
    return undetermined(
      `temperature is ${leastC.toFixed(0)} to ${mostC.toFixed(0)} °C where it falls: a task that works by turns looks the same`,
    )
  const firstS = timesS[falls[0]! - 1]! - timesS[0]!
  return {
    label: 'heat',
    evidence: [
      swings,
      `it falls whenever the temperature comes to ${hotC.toFixed(0)} °C, for the first time after ${firstS.toFixed(0)} s, and returns at ${coolC.toFixed(0)} °C`,
    ],
  }
}

/** Temperature just before each of some places within a stage, degrees C; none where the log has none there. */
function celsiusBefore(trace: Trace, { run, startS }: Stretch, places: readonly number[]): readonly number[] {
  const { timesS } = run.series
  return places
    .filter((place) => timesS[place]! >= startS - EARLIER_S)
    .flatMap((place) => {
      const atS = timesS[place - 1]!
      return celsiusIn(trace, atS - 1.5 * trace.intervalS, atS).slice(-1)
    })
}
