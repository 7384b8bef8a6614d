import type { Trace } from '../../log/trace.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { Cycles } from '../cut/cycles.js'
import type { Stretch } from '../cut/stretch.js'
import type { HeldBy, StageCycle } from '../load.js'
import type { DraftStage } from './draftStage.js'
import { celsiusIn } from './explainGradual.js'

/** A phase that fills less of the time is a visitor to the other level, which is explained as any level is. */
const LEAST_SHARE = 0.15
/** Temperatures at which a controller cuts in agree to so many K, and lie so far above those at which it lets go. */
const AGREE_K = 3
const APART_K = 2
/** A chassis that is not warm yet lets the first phase last so much longer than the later ones. */
const FIRST_LONGER = 1.5

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
function isWithin({ part, run: { series } }: Stretch, { edges }: Cycles): boolean {
  const overlap = part.to - Math.max(part.from, edges[0]!)
  return overlap > OVERLAP * (part.to - part.from) && series.powerW.length > 0
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
  if (Math.min(cycle.highShare, 1 - cycle.highShare) < LEAST_SHARE) return null
  const { run, startS } = draft.stretches.at(-1)!
  const { timesS, cycles } = run.series
  const swings = `power swings between ${cycle.lowW.toFixed(0)} W and ${cycle.highW.toFixed(0)} W every ${cycle.periodS.toFixed(0)} s`
  const [falls, returns] = cycles!.opensHigh ? [cycles!.turns, cycles!.edges] : [cycles!.edges, cycles!.turns]
  const celsiusAt = (places: readonly number[]) =>
    places
      .filter((place) => timesS[place]! >= startS - EARLIER_S)
      .flatMap((place) =>
        celsiusIn(trace, timesS[place - 1]! - 1.5 * trace.intervalS, timesS[place - 1]!).slice(-1),
      )
  const [fallC, returnC] = [celsiusAt(falls), celsiusAt(returns)]
  if (fallC.length < 3 || returnC.length < 3) {
    const why = trace.temperatureC === null ? '; the log has no temperature to show which' : ''
    return {
      label: 'undetermined',
      evidence: [swings, `a controller of the temperature does so, and a task that works by turns${why}`],
    }
  }
  const [hotC, coolC] = [quantile(fallC, 0.5), quantile(returnC, 0.5)]
  const spreadK = Math.max(...fallC.map((c) => Math.abs(c - hotC)))
  const firstS = timesS[falls[0]! - 1]! - timesS[0]!
  const isLater = firstS > FIRST_LONGER * cycle.highShare * cycle.periodS
  if (spreadK > AGREE_K || hotC - coolC < APART_K || !isLater) {
    return {
      label: 'undetermined',
      evidence: [
        swings,
        `temperature is ${Math.min(...fallC).toFixed(0)} to ${Math.max(...fallC).toFixed(0)} °C where it falls: a task that works by turns looks the same`,
      ],
    }
  }
  return {
    label: 'heat',
    evidence: [
      swings,
      `it falls whenever the temperature comes to ${hotC.toFixed(0)} °C, for the first time after ${firstS.toFixed(0)} s, and returns at ${coolC.toFixed(0)} °C`,
    ],
  }
}

/** The swing's first fall is the stage's own edge. */
const EARLIER_S = 5
