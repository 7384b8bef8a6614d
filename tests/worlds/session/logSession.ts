import type { Trace } from '../../../src/log/trace.js'
import { REASON } from '../../../src/log/trace.js'
import type { RandomStream } from '../randomStream.js'
import type { MachineState, SessionMachine } from './machine.js'
import { type SessionCourse, STEP_S } from './makeSession.js'

/** A made-up logger: how often, how well, and which columns. */
export interface SessionLogger {
  readonly everyS: number
  readonly averaged: boolean
  readonly jitter: number
  readonly noiseW: number
  /** Correlation time of the noise, s; 0 for white noise. */
  readonly correlationS: number
  readonly quantumW: number
  readonly drops: number
  readonly baseW: number
  readonly columns: ReadonlySet<'temperature' | 'clock' | 'use' | 'limit' | 'reasons'>
}

export function drawSessionLogger(random: RandomStream, machine: SessionMachine): SessionLogger {
  const columns = (
    [
      ['temperature', 0.8],
      ['clock', 0.45],
      ['use', 0.4],
      ['limit', 0.35],
      ['reasons', 0.25],
    ] as const
  ).filter(([, chance]) => machine.baseW === 0 && random.chance(chance))
  return {
    everyS: random.pick([0.1, 0.2, 0.25, 0.5, 0.5, 1, 1, 1, 2]),
    averaged: random.chance(0.6),
    jitter: random.pick([0, 0.01, 0.05]),
    noiseW: random.logUniform(0.003, 0.012) * machine.peakW,
    correlationS: random.pick([0, 0, 0.5, 1.5]),
    quantumW: random.pick([0.002, 0.002, 0.01]) * machine.peakW,
    drops: random.pick([0, 0, 0.004, 0.015]),
    baseW: machine.baseW,
    columns: new Set(columns.map(([name]) => name)),
  }
}

/** The trace that a logger would leave of a session. */
export function logSession(course: SessionCourse, logger: SessionLogger, random: RandomStream): Trace {
  const rows: { readonly t: number; readonly at: number; readonly powerW: number }[] = []
  const { states } = course
  let noise = random.normal()
  const kept = logger.correlationS > 0 ? Math.exp(-logger.everyS / logger.correlationS) : 0
  let last = 0
  for (let k = 1; ; k++) {
    const dueS = k * logger.everyS * 1 + logger.jitter * logger.everyS * random.normal()
    const at = Math.round(dueS / STEP_S)
    if (at > states.length) break
    if (at <= last) continue
    noise = kept * noise + Math.sqrt(1 - kept * kept) * random.normal()
    const seenW = logger.averaged ? meanPower(states, last, at) : states[at - 1]!.powerW
    last = at
    if (rows.length > 0 && random.chance(logger.drops)) continue
    const powerW = Math.max(0, seenW + logger.baseW + logger.noiseW * noise)
    rows.push({ t: dueS, at: at - 1, powerW: Math.round(powerW / logger.quantumW) * logger.quantumW })
  }
  const startS = rows[0]!.t
  const column = (name: 'temperature' | 'clock' | 'use' | 'limit', read: (at: number) => number) =>
    logger.columns.has(name) ? Float64Array.from(rows, ({ at }) => read(at)) : null
  const limited = (state: MachineState) => ['peak', 'budget', 'limit'].includes(state.holder)
  return {
    timesS: Float64Array.from(rows, ({ t }) => t - startS),
    powerW: Float64Array.from(rows, ({ powerW }) => powerW),
    temperatureC: column('temperature', (at) => Math.round(states[at]!.temperatureC + 0.3 * random.normal())),
    clockHz: column(
      'clock',
      (at) => Math.round(1e3 * states[at]!.clockGHz * (1 + 0.001 * random.normal())) * 1e6,
    ),
    usePct: column('use', (at) =>
      Math.min(100, Math.max(0, Math.round(states[at]!.usePct + 1.5 * random.normal()))),
    ),
    limitW: column('limit', (at) => course.setLimitW[at]!),
    reasons: logger.columns.has('reasons')
      ? Uint8Array.from(rows, ({ at }) =>
          limited(states[at]!) ? REASON.powerLimit : states[at]!.holder === 'heat' ? REASON.heat : 0,
        )
      : null,
    intervalS: logger.everyS,
    startEpochS: null,
    startOfDayS: null,
  }
}

function meanPower(states: readonly MachineState[], from: number, to: number): number {
  let sum = 0
  for (let i = from; i < to; i++) sum += states[i]!.powerW
  return sum / Math.max(1, to - from)
}
