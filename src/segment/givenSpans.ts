import type { Trace } from '../log/trace.js'
import { bisectRight } from '../numeric/bisectRight.js'
import type { Span } from './loads/findSpans.js'
import type { WorkRange } from './loads/workRanges.js'
import { measureRun } from './stages/measureRun.js'

/** A load as a person sets it: its first and last second, counted from the log's first sample. */
export interface GivenLoad {
  readonly startS: number
  readonly endS: number
}

/**
 * Loads as a person set them, as ranges of samples, with the pauses that were found inside.
 *
 * An edge that is set where one was found is that edge, to the fraction of a sample; any other lies between two samples. Work that was
 * found outside belongs to no load. Where no work was found up to an edge, the run beside it reaches to the edge.
 *
 * @param given - in order of time, without overlaps
 * @param work - all stretches of work that the log shows
 * @param averaged - whether samples are means over their intervals
 * @returns one span for each load that holds two samples at least
 */
export function givenSpans(
  trace: Trace,
  given: readonly GivenLoad[],
  { work, averaged }: { readonly work: readonly WorkRange[]; readonly averaged: boolean },
): readonly Span[] {
  const measured = work.map((range) => ({ range, ...measureRun(trace, range, averaged) }))
  return given.flatMap((load) => {
    const whole = { ...samplesOf(trace, load, averaged), idleBeforeW: null, idleAfterW: null }
    const inside = measured.flatMap(({ range, startS, endS }) => {
      const opens = startS > load.startS - NEAR_SAMPLES * trace.intervalS
      const closes = endS < load.endS + NEAR_SAMPLES * trace.intervalS
      return cut(range, { opens, closes, whole })
    })
    const runs = reachEdges(inside, { trace, load, averaged, whole })
    return runs.length === 0 ? [] : [{ from: runs[0]!.from, to: runs.at(-1)!.to, runs }]
  })
}

/** An edge is set where one was found when they lie nearer than this, in samples. */
const NEAR_SAMPLES = 0.5

/** The samples of a load: a mean belongs to it when most of its interval does, an instant when it lies inside. */
function samplesOf({ timesS, intervalS }: Trace, { startS, endS }: GivenLoad, averaged: boolean) {
  const slackS = averaged ? 0.5 * intervalS : 0
  const from = bisectRight(timesS, startS + slackS - (averaged ? 0 : 1e-9))
  // The log's first sample has no interval: a load that begins there holds it.
  return { from: startS - slackS <= timesS[0]! ? 0 : from, to: bisectRight(timesS, endS + slackS - 1e-9) }
}

function cut(
  range: WorkRange,
  edges: { readonly opens: boolean; readonly closes: boolean; readonly whole: WorkRange },
): readonly WorkRange[] {
  const { opens, closes, whole } = edges
  const from = opens ? range.from : whole.from
  const to = closes ? range.to : whole.to
  if (to - from < 2) return []
  return [
    {
      ...range,
      from,
      to,
      idleBeforeW: opens ? range.idleBeforeW : null,
      idleAfterW: closes ? range.idleAfterW : null,
    },
  ]
}

function reachEdges(
  runs: readonly WorkRange[],
  {
    trace,
    load,
    averaged,
    whole,
  }: {
    readonly trace: Trace
    readonly load: GivenLoad
    readonly averaged: boolean
    readonly whole: WorkRange
  },
): readonly WorkRange[] {
  if (runs.length === 0) return whole.to - whole.from < 2 ? [] : [whole]
  const reached = [...runs]
  const nearS = NEAR_SAMPLES * trace.intervalS
  const first = reached[0]!
  if (measureRun(trace, first, averaged).startS > load.startS + nearS)
    reached[0] = { ...first, from: whole.from, idleBeforeW: null }
  const last = reached.at(-1)!
  if (measureRun(trace, last, averaged).endS < load.endS - nearS)
    reached[reached.length - 1] = { ...last, to: whole.to, idleAfterW: null }
  return reached
}
