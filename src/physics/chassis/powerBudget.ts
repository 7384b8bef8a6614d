import { InputError } from '../../errors.js'

/** A load at constant power seen by a running average: all watts, `idleW` being the average when it starts. */
export interface BudgetStep {
  readonly idleW: number
  readonly limitW: number
  readonly burstW: number
}

/**
 * Time constant of the running power average, from how long a burst was held.
 *
 * Power may stay at `burstW` until an exponential average that began at `idleW` reaches `limitW`:
 *
 *   tau = hold / ln((burst - idle) / (burst - limit))
 *
 * Assumes constant burst power and an average settled at idle; if the load began before the log, the result is too short.
 *
 * @param holdS - time at burst power, seconds, > 0
 * @param step - idle, limit and burst power in watts, strictly rising
 * @returns time constant in seconds
 * @throws InputError `hold-not-positive`, `powers-not-ordered`
 * @source step response of a first-order low-pass filter, solved for tau
 * @example timeConstantFromHold(28, { idleW: 5, limitW: 28, burstW: 64 }) // 56.7
 */
export function timeConstantFromHold(holdS: number, step: BudgetStep): number {
  if (!(holdS > 0)) {
    throw new InputError('hold-not-positive', `expected a hold time above 0 s, got ${holdS} s`)
  }
  return holdS / holdInTimeConstants(step)
}

/**
 * How long a burst is held by a running average: the inverse of `timeConstantFromHold`.
 *
 *   hold = tau ln((burst - idle) / (burst - limit))
 *
 * @param tauS - time constant in seconds, > 0
 * @param step - idle (the average at the start), limit and burst power in watts, strictly rising
 * @returns seconds at burst power
 * @throws InputError `time-constant-not-positive`, `powers-not-ordered`
 * @source step response of a first-order low-pass filter
 * @example holdFromTimeConstant(28, { idleW: 5, limitW: 65, burstW: 115 }) // 22.08
 */
export function holdFromTimeConstant(tauS: number, step: BudgetStep): number {
  if (!(tauS > 0)) {
    throw new InputError('time-constant-not-positive', `expected a time constant above 0 s, got ${tauS} s`)
  }
  return tauS * holdInTimeConstants(step)
}

/**
 * The running average after a stretch at constant power: a(t) = P + (a0 - P) exp(-t/tau), exact for any t.
 *
 * @param averageW - average at the start of the stretch, W
 * @param stretch - power in W, length and time constant in s
 * @returns average at the end of the stretch, W
 * @source solution of a' = (P - a)/tau
 * @example averageAfter(5, { powerW: 64, forS: 28, tauS: 56.7 }) // 28.0
 */
export function averageAfter(
  averageW: number,
  stretch: { readonly powerW: number; readonly forS: number; readonly tauS: number },
): number {
  return stretch.powerW + (averageW - stretch.powerW) * Math.exp(-stretch.forS / stretch.tauS)
}

/**
 * The running average after a stretch in which power itself relaxes, P(t) = toward + (from - toward) exp(-t/response).
 *
 *   a(t) = toward + k exp(-t/response) + (a0 - toward - k) exp(-t/tau),  k = (from - toward) response / (response - tau)
 *
 * Needed because a controller takes a second or two to bring power down to a new level.
 *
 * @param averageW - average at the start, W
 * @param stretch - `fromW`, `towardW` in W; `responseS` (of the power), `forS`, `tauS` (of the average) in s
 * @returns average at the end, W
 * @source solution of a' = (P - a)/tau for exponential P; the limit t exp(-t/tau)/tau where both constants agree
 * @example averageAfterRelaxation(50, { fromW: 100, towardW: 60, responseS: 1.5, forS: 10, tauS: 28 })
 */
export function averageAfterRelaxation(
  averageW: number,
  stretch: {
    readonly fromW: number
    readonly towardW: number
    readonly responseS: number
    readonly forS: number
    readonly tauS: number
  },
): number {
  const { fromW, towardW, responseS, forS, tauS } = stretch
  const ownDecay = Math.exp(-forS / tauS)
  const excessW = fromW - towardW
  // Closer than one part in 10^6 the quotient loses digits; the limit is then the better value.
  const driven =
    Math.abs(responseS - tauS) > 1e-6 * tauS
      ? (excessW * responseS * (Math.exp(-forS / responseS) - ownDecay)) / (responseS - tauS)
      : (excessW * forS * ownDecay) / tauS
  return towardW + (averageW - towardW) * ownDecay + driven
}

/**
 * Time until a running average reaches its limit at constant power; `Infinity` when it never does, 0 when it is there.
 *
 * @param averageW - average now, W
 * @param budget - power held, limit (both W) and time constant (s)
 * @returns seconds, 0 to Infinity
 * @source `averageAfter` solved for t
 * @example timeToLimit(5, { powerW: 64, limitW: 28, tauS: 56.7 }) // 28.0
 */
export function timeToLimit(
  averageW: number,
  budget: { readonly powerW: number; readonly limitW: number; readonly tauS: number },
): number {
  if (averageW >= budget.limitW) return 0
  if (budget.powerW <= budget.limitW) return Number.POSITIVE_INFINITY
  return budget.tauS * Math.log((budget.powerW - averageW) / (budget.powerW - budget.limitW))
}

/**
 * The running average at the end of each interval of a power record, exactly, power being constant in each interval.
 *
 * @param record - interval lengths in s and mean powers in W (equal lengths n); `startW` the average before the first
 * @param tauS - time constant, s
 * @returns n averages in W
 * @source repeated `averageAfter`
 * @example runningAverage({ lengthsS: [1, 1], powersW: [10, 20], startW: 0 }, 5)
 */
export function runningAverage(
  record: {
    readonly lengthsS: ArrayLike<number>
    readonly powersW: ArrayLike<number>
    readonly startW: number
  },
  tauS: number,
): Float64Array {
  const averages = new Float64Array(record.powersW.length)
  let averageW = record.startW
  for (let i = 0; i < averages.length; i++) {
    const powerW = record.powersW[i] as number
    averageW = powerW + (averageW - powerW) * Math.exp(-(record.lengthsS[i] as number) / tauS)
    averages[i] = averageW
  }
  return averages
}

function holdInTimeConstants({ idleW, limitW, burstW }: BudgetStep): number {
  if (!(idleW < limitW && limitW < burstW)) {
    throw new InputError(
      'powers-not-ordered',
      `expected idle < limit < burst power, got ${idleW} W, ${limitW} W, ${burstW} W`,
    )
  }
  return Math.log((burstW - idleW) / (burstW - limitW))
}
