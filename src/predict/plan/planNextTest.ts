import { ESTIMATE_EDGE, type Estimate } from '../../numeric/statistics/estimate.js'
import { STEADY_RUNS, USUAL_RUN_S } from '../../physics/loop/usualLoop.js'
import { type NextMode, nextPowerMode } from './nextPowerMode.js'
import type { PlanReason } from './planReason.js'
import type { PlanRequest } from './planRequest.js'
import { planRest } from './planRest.js'
import { planSettling } from './planSettling.js'
import { SAMPLES_IN_BURST, samplingInterval } from './samplingInterval.js'

/** How long to test next time (section 3 of cli/README.md, `plan`); `reasons` are worded in `show/sayPlanReason.ts`. */
export interface Plan {
  readonly settleS: Estimate
  readonly runsNeeded: number
  readonly restS: Estimate
  readonly sampleEveryS: number
  readonly reasons: readonly PlanReason[]
  /** A further power mode that would narrow projections the most; null without a chip or when none would. */
  readonly nextMode: NextMode | null
}

/**
 * Plans the next test of a machine: how long until its power settles, how many runs that takes, how long to rest before the
 * next test, how often to sample, and which further power mode would tell the most.
 *
 * Settled: run means (or, without runs, the power) within 2 % of where they end. Runs: those, and as many after them as bring
 * the mean of the steady ones to within 1 %, three at least. Rest: until running averages and temperatures have lost 98 % of
 * what the load added. Sampling: five samples in the shortest burst, or in the shorter phase of a
 * swing, from a ladder of usual intervals.
 *
 * @example planNextTest({ chassis, chip, loop: { gapS: 5, runS: 60 }, settled: { reached: true, loadS: 900 }, scatter: 0.004 })
 */
export function planNextTest(request: PlanRequest): Plan {
  const settling = planSettling(request)
  const rest = planRest(request.chassis)
  const sampling = planSampling(settling.shortestBurstS, request.settled.shorterPhaseS)
  const steady = steadyRuns(request.scatter)
  const runS = request.loop.runS ?? USUAL_RUN_S
  const before = Math.ceil(settling.settleS.value / (runS + request.loop.gapS))
  const nextMode =
    request.chip &&
    nextPowerMode(request.chip, request.scatter ?? USUAL_SCATTER, request.chassis.burstW.value)
  return {
    settleS: settling.settleS,
    runsNeeded: before + steady,
    restS: rest.restS,
    sampleEveryS: sampling.everyS,
    reasons: [
      settling.reason,
      { code: 'runs', before, steady, runS, runSupposed: request.loop.runS === null },
      rest.reason,
      sampling.reason,
      ...(nextMode ? [{ code: 'next-mode' as const, ...nextMode }] : []),
    ],
    nextMode,
  }
}

/** Relative scatter of the runs of a quiet machine; common practice, no source. */
const USUAL_SCATTER = 0.005
/** Half-width that the steady score's 90 % interval should have. */
const WANTED_HALF_WIDTH = 0.01

function steadyRuns(scatter: number | null): number {
  return Math.max(
    STEADY_RUNS,
    Math.ceil(((ESTIMATE_EDGE * (scatter ?? USUAL_SCATTER)) / WANTED_HALF_WIDTH) ** 2),
  )
}

function planSampling(
  shortestBurstS: number | null,
  shorterPhaseS: number | undefined,
): { readonly everyS: number; readonly reason: PlanReason } {
  if (shorterPhaseS !== undefined && shorterPhaseS < (shortestBurstS ?? Number.POSITIVE_INFINITY)) {
    const reason = { code: 'sampling-swing', shorterPhaseS, samples: SAMPLES_IN_BURST } as const
    return { everyS: samplingInterval(shorterPhaseS), reason }
  }
  const everyS = samplingInterval(shortestBurstS)
  if (shortestBurstS === null) return { everyS, reason: { code: 'sampling-no-burst' } }
  return { everyS, reason: { code: 'sampling-burst', shortestBurstS, samples: SAMPLES_IN_BURST } }
}
