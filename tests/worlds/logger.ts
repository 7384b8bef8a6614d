import type { RandomStream } from './randomStream.js'
import type { Simulation } from './simulate.js'

/** How a made-up logger sees the machine. */
export interface Logger {
  readonly everyS: number
  /** Standard deviation of the sampling interval, as a part of it. */
  readonly jitter: number
  /** Mean over the interval that ends at the sample, or the power at that instant. */
  readonly averaged: boolean
  readonly noiseW: number
  /** Lag-1 autocorrelation of the noise. */
  readonly autocorrelation: number
  readonly quantumW: number
  /** Chance that a sample is a spike, and that it is lost. */
  readonly spikes: number
  readonly drops: number
  /** Smallest difference of two times in the log, s. */
  readonly timeQuantumS: number
  readonly temperatureQuantumC: number
  readonly temperatureNoiseC: number
}

/** What the logger noted: times count from the first sample. */
export interface LogTable {
  readonly timesS: readonly number[]
  readonly powerW: readonly number[]
  readonly temperatureC: readonly number[]
  readonly clockGHz: readonly number[]
}

/** Things that go wrong with a logger, in seconds of the log. */
export interface LoggerFaults {
  readonly gap?: { readonly atS: number; readonly forS: number }
  readonly clockJump?: { readonly atS: number; readonly byS: number }
  readonly stuck?: { readonly atS: number; readonly forS: number }
  readonly clipAtW?: number
}

export const CLEAN_LOGGER: Logger = {
  everyS: 1,
  jitter: 0,
  averaged: true,
  noiseW: 0.4,
  autocorrelation: 0,
  quantumW: 0.01,
  spikes: 0,
  drops: 0,
  timeQuantumS: 0.001,
  temperatureQuantumC: 1,
  temperatureNoiseC: 0.3,
}

/** Any logger; noise goes with the size of what is measured, 0.15 to 2 % of `demandW`. */
export function drawLogger(random: RandomStream, demandW: number): Logger {
  return {
    everyS: random.pick([0.2, 0.5, 0.5, 1, 1, 1, 1, 2, 2, 5]),
    jitter: random.pick([0, 0.01, 0.03, 0.1]),
    averaged: random.chance(0.7),
    noiseW: random.logUniform(0.0015, 0.02) * demandW,
    autocorrelation: random.chance(0.5) ? 0 : random.uniform(0.1, 0.6),
    quantumW: random.pick([0.001, 0.01, 0.1, 0.1, 0.5]),
    spikes: random.pick([0, 0, 0.001, 0.003]),
    drops: random.pick([0, 0, 0.005, 0.02]),
    timeQuantumS: random.pick([0.001, 0.01, 0.05]),
    temperatureQuantumC: random.pick([0.1, 0.5, 1, 1]),
    temperatureNoiseC: random.uniform(0.05, 0.5),
  }
}

/** Samples a simulation between two of its times, with this logger's failings. */
export function logSimulation(
  simulation: Simulation,
  logger: Logger,
  random: RandomStream,
  window: { readonly fromS: number; readonly toS: number; readonly faults?: LoggerFaults },
): LogTable {
  const energyJ = cumulate(simulation)
  const faults = window.faults ?? {}
  const rows: { t: number; p: number; c: number; f: number }[] = []
  let noise = random.normal()
  let last = window.fromS
  let due = window.fromS
  let previousT = Number.NEGATIVE_INFINITY
  while (due <= window.toS) {
    const first = rows.length === 0 && last === window.fromS
    // the first sample comes on time, so that seconds of the log are seconds of the truth
    const late = first ? 0 : logger.jitter * logger.everyS * random.normal()
    const t = Math.max(last + (first ? 0 : 1e-3), due + late)
    noise = logger.autocorrelation * noise + Math.sqrt(1 - logger.autocorrelation ** 2) * random.normal()
    const seen =
      logger.averaged && !first
        ? meanPower(simulation, energyJ, last, t)
        : at(simulation, simulation.powerW, t)
    const lost = random.chance(logger.drops)
    const spike = random.chance(logger.spikes) ? random.pick([0.15, 0.5, 1.6, 2.5]) : 1
    last = t
    due += logger.everyS
    if (lost && !first) continue
    const stamp = quantise(t - window.fromS, logger.timeQuantumS)
    if (stamp <= previousT) continue
    previousT = stamp
    rows.push({
      t: stamp,
      p: Math.max(0, quantise((seen + logger.noiseW * noise) * spike, logger.quantumW)),
      c: quantise(
        at(simulation, simulation.temperatureC, t) + logger.temperatureNoiseC * random.normal(),
        logger.temperatureQuantumC,
      ),
      f: at(simulation, simulation.clockGHz, t) * (1 + 0.002 * random.normal()),
    })
  }
  return toTable(withFaults(rows, faults))
}

type Row = { t: number; p: number; c: number; f: number }

function withFaults(rows: readonly Row[], faults: LoggerFaults): readonly Row[] {
  const { gap, clockJump, stuck, clipAtW } = faults
  let frozen: Row | undefined
  return rows
    .filter((row) => gap === undefined || row.t < gap.atS || row.t >= gap.atS + gap.forS)
    .map((row) => {
      const out = { ...row }
      if (clipAtW !== undefined) out.p = Math.min(out.p, clipAtW)
      if (stuck !== undefined && row.t >= stuck.atS && row.t < stuck.atS + stuck.forS) {
        frozen ??= row
        out.p = frozen.p
      }
      if (clockJump !== undefined && row.t >= clockJump.atS) out.t += clockJump.byS
      return out
    })
}

function toTable(rows: readonly Row[]): LogTable {
  const start = rows[0]?.t ?? 0
  return {
    timesS: rows.map((row) => row.t - start),
    powerW: rows.map((row) => row.p),
    temperatureC: rows.map((row) => row.c),
    clockGHz: rows.map((row) => row.f),
  }
}

function quantise(value: number, quantum: number): number {
  return Number((Math.round(value / quantum) * quantum).toFixed(6))
}

function cumulate(simulation: Simulation): Float64Array {
  const sums = new Float64Array(simulation.powerW.length + 1)
  for (let i = 0; i < simulation.powerW.length; i++)
    sums[i + 1] = sums[i]! + simulation.powerW[i]! * simulation.stepS
  return sums
}

function meanPower(simulation: Simulation, energyJ: Float64Array, fromS: number, toS: number): number {
  const energyAt = (t: number) => {
    const x = Math.min(energyJ.length - 1.001, Math.max(0, t / simulation.stepS))
    const i = Math.floor(x)
    return energyJ[i]! + (x - i) * (energyJ[i + 1]! - energyJ[i]!)
  }
  return (energyAt(toS) - energyAt(fromS)) / (toS - fromS)
}

function at(simulation: Simulation, values: Float64Array, t: number): number {
  return values[Math.min(values.length - 1, Math.max(0, Math.floor(t / simulation.stepS)))]!
}
