import { REASON, type Trace } from '../../log/trace.js'
import { bisectRight } from '../../numeric/bisectRight.js'
import { quantile } from '../../numeric/statistics/quantile.js'
import type { HeldBy, HoldLabel } from '../load.js'
import type { Span } from '../loads/findSpans.js'

/** Times of work, s. */
interface WorkTime {
  readonly startS: number
  readonly endS: number
}

/** What the rest of a log shows its machine to do. */
export interface LogContext {
  /** Highest clock of the log, Hz; null without a clock. */
  readonly highestClockHz: number | null
  /** The most power that any load of the log was held at, W. */
  readonly heldW: number
  /** The log's own reasons name a power limit somewhere: where they name none, none was at work. */
  readonly namesLimit: boolean
}

/** So long a load shows what its machine holds, s. */
const SHOWN_S = 30

export function logContext(trace: Trace, spans: readonly Span[]): LogContext {
  const clocks = trace.clockHz?.filter((hz) => hz >= LEAST_CLOCK_HZ)
  const levels = spans.flatMap(({ runs }) => {
    const longest = runs.reduce((best, run) => (run.to - run.from > best.to - best.from ? run : best))
    const lastsS = trace.timesS[longest.to - 1]! - trace.timesS[longest.from]!
    return lastsS >= SHOWN_S ? [quantile(trace.powerW.subarray(longest.from, longest.to), 0.5)] : []
  })
  return {
    highestClockHz: clocks && clocks.length > 0 ? quantile(clocks, 0.998) : null,
    heldW: Math.max(0, ...levels),
    namesLimit: trace.reasons?.some((flags) => (flags & REASON.powerLimit) !== 0) ?? false,
  }
}

/** No processor's clock is lower: a column that reads less holds no clock. */
const LEAST_CLOCK_HZ = 1e6
/** Power within this share of a logged limit sticks to it: the contract's figure. */
const STICKS_SHARE = 0.02
/** A reason that is logged in this share of the samples speaks for the stage. */
const REASON_SHARE = 0.5
/** No reason in this share of them says that nothing but the task held it: a limit that acts now and then is named now and then. */
const SILENT_SHARE = 0.9
/** Use below this is not full, %; loggers seldom read quite 100. */
const FULL_USE_PCT = 85
/** A clock within this share of the log's highest is at it; below the lower one it is held down. Steps of a clock are 25 to 100 MHz. */
const AT_TOP_SHARE = 0.985
const HELD_DOWN_SHARE = 0.93
/** Power below this share of what the machine holds elsewhere is what the task asks for; limits of one machine differ by less. Common practice, no source. */
const WELL_BELOW_SHARE = 0.45

/**
 * What the log's other columns say of what held a stage; null where they say nothing.
 *
 * A logged reason speaks first, then power that sticks to a logged limit, then use, clock, and power against what the log shows elsewhere.
 * What contradicts the answer is told with it.
 *
 * @param stretches - the stage's times of work
 * @param levelW - its power
 */
export function columnEvidence(
  trace: Trace,
  stretches: readonly WorkTime[],
  levelW: number,
  log: LogContext,
): ToldHold | null {
  const signs = [
    reasonSign(trace, stretches, log),
    limitSign(trace, stretches, levelW),
    useSign(trace, stretches),
    clockSign(trace, stretches, log),
    powerSign(trace, stretches, levelW, log),
  ].filter((sign) => sign !== null)
  const [first] = signs
  if (first === undefined) return null
  const agreeing = signs.filter(({ label }) => label === first.label)
  const against = signs.filter(({ label }) => label !== first.label)
  return {
    label: first.label,
    reason: first.reason,
    agreeing: agreeing.length,
    belowFull: agreeing.some((sign) => sign.belowFull),
    evidence: [...agreeing.map(({ says }) => says), ...against.map(({ says }) => `against it: ${says}`)],
  }
}

interface Sign {
  readonly label: HoldLabel
  readonly says: string
  /** The log's own reasons say it: by a name, or by naming none. */
  readonly reason?: 'named' | 'none'
  /** The task did not use the whole machine. */
  readonly belowFull?: true
}

/** What the columns say, and whether the log's own reasons say so. */
export interface ToldHold extends HeldBy {
  readonly reason: 'named' | 'none' | undefined
  /** How many columns say so. */
  readonly agreeing: number
  /** The task did not use the whole machine. */
  readonly belowFull: boolean
}

function reasonSign(trace: Trace, stretches: readonly WorkTime[], log: LogContext): Sign | null {
  if (!trace.reasons) return null
  const flags = valuesIn(trace, trace.reasons, stretches)
  if (flags.length === 0) return null
  const share = (flag: number) => flags.filter((value) => (value & flag) !== 0).length / flags.length
  const tells = (label: HoldLabel, flag: number, name: string): Sign | null =>
    share(flag) < REASON_SHARE
      ? null
      : {
          label,
          says: `the log's reason is ${name} in ${percent(share(flag))} of the samples`,
          reason: 'named',
        }
  return (
    tells('heat', REASON.heat, 'heat') ??
    tells('power-limit', REASON.powerLimit, 'a power limit') ??
    tells('demand', REASON.demand, 'the task itself') ??
    silentSign(flags, log)
  )
}

function silentSign(flags: readonly number[], log: LogContext): Sign | null {
  const share = flags.filter((value) => value === 0).length / flags.length
  if (!log.namesLimit || share < SILENT_SHARE) return null
  return {
    label: 'demand',
    says: `the log names no reason in ${percent(share)} of the samples, and a power limit elsewhere`,
    reason: 'none',
  }
}

function limitSign(trace: Trace, stretches: readonly WorkTime[], levelW: number): Sign | null {
  if (!trace.limitW) return null
  const limits = valuesIn(trace, trace.limitW, stretches)
  if (limits.length === 0) return null
  const limitW = quantile(limits, 0.5)
  if (Math.abs(levelW - limitW) > STICKS_SHARE * limitW) return null
  return { label: 'power-limit', says: `power sticks to the logged limit of ${limitW.toFixed(1)} W` }
}

function useSign(trace: Trace, stretches: readonly WorkTime[]): Sign | null {
  if (!trace.usePct) return null
  const uses = valuesIn(trace, trace.usePct, stretches)
  if (uses.length === 0) return null
  const usePct = quantile(uses, 0.5)
  return usePct < FULL_USE_PCT
    ? { label: 'demand', says: `use is ${usePct.toFixed(0)} %, below full`, belowFull: true }
    : null
}

function clockSign(trace: Trace, stretches: readonly WorkTime[], log: LogContext): Sign | null {
  const topHz = log.highestClockHz
  if (topHz === null || !trace.clockHz) return null
  const clocks = valuesIn(trace, trace.clockHz, stretches).filter((hz) => hz >= LEAST_CLOCK_HZ)
  if (clocks.length === 0) return null
  const clockHz = quantile(clocks, 0.5)
  const says = `the clock is ${gigahertz(clockHz)}, the log's highest ${gigahertz(topHz)}`
  if (clockHz >= AT_TOP_SHARE * topHz) return { label: 'demand', says }
  return clockHz < HELD_DOWN_SHARE * topHz ? { label: 'power-limit', says } : null
}

function powerSign(
  trace: Trace,
  stretches: readonly WorkTime[],
  levelW: number,
  { heldW }: LogContext,
): Sign | null {
  const uses = trace.usePct ? valuesIn(trace, trace.usePct, stretches) : []
  const isFull = uses.length > 0 && quantile(uses, 0.5) >= FULL_USE_PCT
  if (isFull || levelW > WELL_BELOW_SHARE * heldW) return null
  return {
    label: 'demand',
    says: `power is ${levelW.toFixed(1)} W, and the machine holds ${heldW.toFixed(1)} W elsewhere in the log`,
  }
}

/** What would settle a cause that the log leaves open, in words. */
export function missingColumns(trace: Trace): string {
  const missing = [
    ...(trace.limitW ? [] : ['the set power limit']),
    ...(trace.reasons ? [] : ['the reason of the limit']),
    ...(trace.clockHz ? [] : ['the clock']),
    ...(trace.usePct ? [] : ['use']),
    ...(trace.temperatureC ? [] : ['temperature']),
  ]
  return missing.length === 0
    ? 'a longer test, or one of a stronger task, would show which'
    : `a column with ${missing.slice(0, 3).join(', ')} would show which`
}

/** Finite values of a column within stretches of time. */
export function valuesIn(
  { timesS }: Trace,
  column: ArrayLike<number>,
  stretches: readonly WorkTime[],
): readonly number[] {
  return stretches.flatMap(({ startS, endS }) => {
    const values: number[] = []
    for (let i = bisectRight(timesS, startS); i < timesS.length && timesS[i]! <= endS; i++)
      if (Number.isFinite(column[i]!)) values.push(column[i]!)
    return values
  })
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`
}

function gigahertz(hz: number): string {
  return `${(hz / 1e9).toFixed(2)} GHz`
}
