import type { LoopMachine } from '../../physics/loop/loopMachine.js'
import type { ChassisFit } from './chooseChassisFit.js'
import type { LoadRecord } from './loadRecord.js'
import { predictPower } from './predictPower.js'

/**
 * Moves what a fitted machine settles at so that it draws, at the end of its own load, the power that was measured there.
 *
 * A fit weighs every sample alike, so a model that can't follow a load (a limit that drifts, a controller of another kind) may
 * settle anywhere; the settled power is what projections rest on. The lowest limit is scaled by secant steps, and the
 * misfit, as one draw of the model's own error, joins that limit's standard error. A misfit that is within what levels
 * move by themselves leaves the fit as it is.
 *
 * @returns the fit, and ln(measured / fitted power) before; null where nothing was measured at the end of the load
 */
export function matchSteadyPower<Fit extends ChassisFit>(
  record: LoadRecord,
  fit: Fit,
): { readonly fit: Fit; readonly misfit: number | null } {
  const at = settledParameter(fit)
  const scaled = (log: number) => fit.parameters.with(at, fit.parameters[at]! * Math.exp(log))
  const misfitAt = (log: number) => steadyMisfit(record, fit.machineFor(scaled(log)))
  const seen = misfitAt(0)
  const misfit = seen === null ? null : believed(seen, edgeError(record))
  if (misfit === null || Math.abs(misfit) < LEAST_MISFIT) return { fit, misfit }
  const parameters = scaled(matchingScale(misfit, (log) => (misfitAt(log) ?? seen!) - (seen! - misfit)))
  const matched = {
    ...fit,
    parameters,
    machine: fit.machineFor(parameters),
    ...(fit.kind === 'heat' ? { ceilingRise: parameters[at]! } : {}),
    logErrors: fit.logErrors?.map((error, i) => (i === at ? Math.hypot(error, misfit) : error)),
  }
  return { fit: matched, misfit }
}

/** Levels of loads that look the same differ by this share; common practice, no source. */
const LEAST_MISFIT = 0.0022
/** Farther than this share a limit is not moved: such a model has found something else. */
const MOST_MOVED = 0.15
/** Secant steps; the power at the end is nearly in proportion to the limit. */
const STEPS = 3

/** What is left of a misfit that edges alone may explain, too: its mean when misfits of its own size are as usual as those of edges are. */
function believed(misfit: number, error: number): number {
  return misfit * (misfit ** 2 / (misfit ** 2 + error ** 2))
}

/**
 * Standard error of the energy of the last passes that their edges leave, as a share of it: a logger of instants places each edge
 * anywhere in a sampling interval.
 *
 * @source width / sqrt(12): JCGM 100:2008, 4.3.7; two edges a pass
 */
function edgeError({ passes, intervalS }: LoadRecord): number {
  const last = passes.slice(-STEADY_PASSES)
  if (passes.length === 1) return 0
  const workedS = last.reduce((sum, pass) => sum + pass.endS - pass.startS, 0)
  return (Math.sqrt((2 * last.length) / 12) * intervalS) / workedS
}

/** Where the parameter stands that decides the settled power. */
function settledParameter({ kind, parameters, machine }: ChassisFit): number {
  if (kind === 'timed') return 2
  if (kind === 'heat') return 1
  if (kind === 'flat') return 0
  const limits = machine.budgets.map((_, i) => parameters[2 + 2 * i]!)
  return 2 + 2 * limits.indexOf(Math.min(...limits))
}

function matchingScale(misfit: number, misfitAt: (log: number) => number | null): number {
  let [from, fromMisfit, to] = [0, misfit, clamped(misfit)]
  for (let step = 0; step < STEPS; step++) {
    const toMisfit = misfitAt(to) ?? fromMisfit
    // A limit that doesn't act moves nothing.
    if (Math.abs(toMisfit - fromMisfit) < 0.1 * Math.abs(to - from)) break
    const next = clamped(to - (toMisfit * (to - from)) / (toMisfit - fromMisfit))
    // Held at the farthest that a limit is moved: no secant is left.
    if (next === to) break
    ;[from, fromMisfit, to] = [to, toMisfit, next]
  }
  const missed = Math.abs(misfitAt(to) ?? misfit)
  return missed < Math.abs(misfit) ? to : 0
}

function clamped(log: number): number {
  return Math.min(MOST_MOVED, Math.max(-MOST_MOVED, log))
}

/**
 * ln(measured / predicted energy above idle) of the last three passes with the pauses between them, or of the last quarter of a
 * load without pauses; null where nothing was measured. A burst after a pause may lie in a single sample, at the edge of its pass.
 */
function steadyMisfit(record: LoadRecord, machine: LoopMachine): number | null {
  const predicted = predictPower(machine, record)
  const fromS = steadyFromS(record)
  const endS = record.passes.at(-1)!.endS + record.intervalS
  let measuredJ = 0
  let predictedJ = 0
  record.toS.forEach((toS, i) => {
    if (record.fromS[i]! < fromS || toS > endS) return
    if (record.pass[i]! < 0 && isSpike(record, i)) return
    const lengthS = toS - record.fromS[i]!
    measuredJ += (record.powerW[i]! - record.idleW) * lengthS
    predictedJ += (predicted[i]! - record.idleW) * lengthS
  })
  return measuredJ > 0 && predictedJ > 0 ? Math.log(measuredJ / predictedJ) : null
}

function steadyFromS({ passes, intervalS }: LoadRecord): number {
  const { startS, endS } = passes.at(-1)!
  if (passes.length === 1) return endS - (endS - startS) / 4
  return passes[Math.max(0, passes.length - STEADY_PASSES)]!.startS - intervalS
}

/** Well inside a pass, and yet set aside. */
function isSpike({ passes, fromS, toS, intervalS }: LoadRecord, i: number): boolean {
  return passes.some((p) => fromS[i]! > p.startS + intervalS && toS[i]! < p.endS - intervalS)
}

/** The steady score is the mean of as many runs. */
const STEADY_PASSES = 3
