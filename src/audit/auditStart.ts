import type { Trace } from '../log/trace.js'
import { quantile } from '../numeric/statistics/quantile.js'
import type { Load } from '../segment/load.js'
import { formatQuantity } from '../units.js'
import type { Finding } from './finding.js'

interface StartView {
  readonly trace: Trace
  readonly load: Load
  /** The load before this one in the same log, if any. */
  readonly before: Load | undefined
  readonly ambientC: number | null
}

/** Whether a load began as a test should: seen from idle, cold, with a rested power budget and nothing else running. */
export function auditStart(view: StartView): readonly Finding[] {
  const before = auditFirstSamples(view)
  if (before !== undefined) return [before]
  return [auditBackground(view), auditWarmth(view) ?? auditRest(view)].filter(
    (finding) => finding !== undefined,
  )
}

/** An idle sample or two must precede a load, or nobody saw it begin. */
function auditFirstSamples({ trace, load }: StartView): Finding | undefined {
  const idle = trace.timesS.filter(
    (time, i) => time < load.startS + 1e-9 && trace.powerW[i]! < load.sustained.levelW.value / 2,
  )
  if (idle.length >= 1 && load.startS > 0) return undefined
  const steady = load.stages.length <= 1 && load.stages[0]?.shape !== 'decay'
  return {
    code: 'load-before-log',
    severity: steady ? 'caution' : 'unsafe',
    message:
      'The load was already on when the log began: the length of the burst is unknown, and time constants from it come out too short. Start the logger at least 30 s before the workload.',
    atS: load.startS,
  }
}

/** Idle power before a test may exceed the idle seen elsewhere by half, or by this share of the settled power. */
const BACKGROUND_TIMES = 1.5
const BACKGROUND_SHARE = 0.06
/** Where no other idle was seen: an idle package draws less than this share of what it sustains; common practice, no source. */
const IDLE_SHARE = 0.35

function auditBackground({ trace, load, before }: StartView): Finding | undefined {
  const sustainedW = load.sustained.levelW.value
  const fromS = Math.max(load.startS - 120, (before?.endS ?? Number.NEGATIVE_INFINITY) + 2 * trace.intervalS)
  const ahead = powerBetween(trace, fromS, load.startS - 0.5 * trace.intervalS)
  if (ahead.length < 3) return undefined
  const aheadW = quantile(ahead, 0.5)
  const elsewhere = idleElsewhere(trace, load)
  const idleW = elsewhere.length < 3 ? undefined : quantile(elsewhere, 0.3)
  const loaded =
    idleW === undefined
      ? aheadW > IDLE_SHARE * sustainedW
      : aheadW > BACKGROUND_TIMES * idleW && aheadW - idleW > BACKGROUND_SHARE * sustainedW
  if (!loaded) return undefined
  const against =
    idleW === undefined ? '' : `, against ${formatQuantity(idleW, 'power', 2)} in pauses and afterwards`
  return {
    code: 'background-load',
    severity: 'caution',
    message: `The machine drew ${formatQuantity(aheadW, 'power', 2)} before the load began${against}: something else was running. It uses up part of the power budget and the burst, and may have continued during the runs. Close it, let the machine rest, and test again.`,
    atS: Math.max(0, load.startS - 1),
  }
}

/** Power in the pauses of the load and in the minutes after it. */
function idleElsewhere(trace: Trace, load: Load): readonly number[] {
  const margin = 1.01 * trace.intervalS
  const pauses = load.runs
    .slice(1)
    .flatMap((run, i) => powerBetween(trace, load.runs[i]!.endS + margin, run.startS))
  const half = load.sustained.levelW.value / 2
  const after = powerBetween(trace, load.endS + margin, load.endS + 120)
  return [...pauses, ...after].filter((powerW) => powerW < half)
}

function powerBetween(trace: Trace, fromS: number, toS: number): readonly number[] {
  return [...trace.powerW].filter(
    (powerW, i) => trace.timesS[i]! > fromS && trace.timesS[i]! <= toS && Number.isFinite(powerW),
  )
}

/** Falls of temperature before a load that are no noise, K. */
const COOLING_LEAST_K = 2.5
/** Warmth beyond what idle power explains, as a share of the rise that the load brings, and in K. */
const WARM_SHARE = 0.25
const WARM_LEAST_K = 8

function auditWarmth({ trace, load, ambientC }: StartView): Finding | undefined {
  const { temperatureC, timesS } = trace
  if (temperatureC === null) return undefined
  const ahead = [...temperatureC].filter(
    (value, i) => timesS[i]! < load.startS && timesS[i]! > load.startS - 120 && Number.isFinite(value),
  )
  const during = [...temperatureC].filter(
    (value, i) => timesS[i]! > load.startS && timesS[i]! <= load.endS && Number.isFinite(value),
  )
  if (ahead.length < 5 || during.length < 10) return undefined
  const third = Math.max(2, Math.floor(ahead.length / 3))
  const startC = quantile(ahead.slice(-third), 0.5)
  const fallK = quantile(ahead.slice(0, third), 0.5) - startC
  const hottestC = quantile(during, 0.95)
  if (fallK >= COOLING_LEAST_K && fallK > 0.04 * (hottestC - startC)) {
    return warm(
      `It was still cooling, by ${formatQuantity(fallK, 'temperature', 2).replace('°C', 'K')}, when the load began`,
      load,
    )
  }
  if (ambientC === null) return undefined
  const idleShare = Math.min(
    0.5,
    quantile(powerBetween(trace, load.startS - 120, load.startS - 0.5 * trace.intervalS), 0.5) /
      load.sustained.levelW.value,
  )
  const excessK = startC - ambientC - idleShare * (hottestC - ambientC)
  if (excessK < WARM_LEAST_K || excessK < WARM_SHARE * (hottestC - ambientC)) return undefined
  return warm(
    `It was at ${formatQuantity(startC, 'temperature', 3)} before the load, in a room of ${formatQuantity(ambientC, 'temperature', 3)}`,
    load,
  )
}

/** Rest after which a power budget of usual length is as good as new; common practice, no source. */
const REST_S = 300

/** Without a temperature: a load soon after another starts with a part of its budget spent. */
function auditRest({ load, before }: StartView): Finding | undefined {
  const restS = before === undefined ? Number.POSITIVE_INFINITY : load.startS - before.endS
  if (restS >= REST_S || before === undefined) return undefined
  const restedWell = restS >= 3 * (before.endS - before.startS)
  if (restedWell) return undefined
  return warm(`It had rested for ${formatQuantity(restS, 'time', 2)} only since another load`, load)
}

function warm(reason: string, load: Load): Finding {
  return {
    code: 'started-warm',
    severity: 'caution',
    message: `${reason}: heat and power budget were not rested, so the burst is shorter and the first run lower than from cold. The settled power is not affected. Let it rest (holdwatt plan says how long) and test again.`,
    atS: load.startS,
  }
}
