import type { RandomStream } from './randomStream.js'

/** A made-up processor whose score at any power and temperature is known exactly. */
export interface ChipTruth {
  readonly name: string
  readonly idleW: number
  readonly topGHz: number
  /** Highest clock, GHz, whose power fits under the cap at this temperature; never above the top clock. */
  clockAt(capW: number, temperatureC: number): number
  /** Package power, W, of the full workload at a clock and temperature. */
  powerAt(clockGHz: number, temperatureC: number): number
  /** Work per second at a clock, in units of the rate at top clock. */
  rateAtClock(clockGHz: number): number
  /** Power the workload asks for when nothing holds it, W. */
  demandAt(temperatureC: number): number
}

export interface ChipParameters {
  readonly name: string
  readonly idleW: number
  /** Power at top clock and 60 degC, W. */
  readonly demandW: number
  readonly topGHz: number
  readonly topV: number
  readonly floorV: number
  readonly thresholdV: number
  /** Exponent of the alpha-power law. */
  readonly alpha: number
  readonly uncoreW: number
  /** Part of `demandW` that leaks at 60 degC. */
  readonly leakShare: number
  /** Temperature rise that multiplies leakage by e, K. */
  readonly leakK: number
  /** Part of the work's time at top clock that waits for memory whatever the clock. */
  readonly memoryShare: number
  /** `additive`: waiting adds to computing. `overlap`: the slower of the two rules, with a soft corner. */
  readonly memory: 'additive' | 'overlap'
}

const STEPS = 600
const LOWEST_GHZ = 0.4

/**
 * Chip from the alpha-power law f = k (V - Vt)^a / V with a voltage floor, C V^2 f switching power, leakage that grows
 * with voltage and temperature, and a fixed uncore part. Tabulated on a fine grid of clocks.
 *
 * @source Sakurai and Newton 1990, IEEE JSSC 25:584 (alpha-power law)
 */
export function chipTruth(p: ChipParameters): ChipTruth {
  const clocks = new Float64Array(STEPS)
  const switching = new Float64Array(STEPS)
  const leaking = new Float64Array(STEPS)
  const speed = (v: number) => (v - p.thresholdV) ** p.alpha / v
  const scale = p.topGHz / speed(p.topV)
  const leakTopW = p.demandW * p.leakShare
  const switchTopW = p.demandW - leakTopW - p.uncoreW
  for (let i = 0; i < STEPS; i++) {
    const ghz = LOWEST_GHZ + ((p.topGHz - LOWEST_GHZ) * i) / (STEPS - 1)
    const volts = Math.max(p.floorV, voltsFor(ghz, scale, speed, p))
    clocks[i] = ghz
    switching[i] = (switchTopW * (volts * volts * ghz)) / (p.topV * p.topV * p.topGHz)
    leaking[i] = leakTopW * (volts / p.topV) * Math.exp((volts - p.topV) / 0.35)
  }
  // Demand and clock are asked for at the same temperature, step by step.
  let [knownC, knownHeat] = [60, 1]
  const heatFactor = (temperatureC: number) => {
    if (temperatureC !== knownC) {
      knownC = temperatureC
      knownHeat = Math.exp((temperatureC - 60) / p.leakK)
    }
    return knownHeat
  }
  const at = (i: number, heat: number) => p.uncoreW + switching[i]! + leaking[i]! * heat
  const powerAt = (ghz: number, temperatureC: number) => {
    const x = (Math.max(ghz, LOWEST_GHZ) - LOWEST_GHZ) / (p.topGHz - LOWEST_GHZ)
    const at0 = Math.min(STEPS - 2, Math.floor(x * (STEPS - 1)))
    const part = x * (STEPS - 1) - at0
    const heat = heatFactor(temperatureC)
    return at(at0, heat) * (1 - part) + at(at0 + 1, heat) * part
  }
  // From step to step the clock hardly moves: where it was is looked at first.
  let found = 0
  const clockAt = (capW: number, temperatureC: number) => {
    const heat = heatFactor(temperatureC)
    if (at(STEPS - 1, heat) <= capW) return p.topGHz
    const floorW = at(0, heat)
    if (capW <= floorW) return LOWEST_GHZ * Math.max(0.02, (capW - p.uncoreW) / (floorW - p.uncoreW))
    let low = at(found, heat) <= capW ? found : 0
    let high = low === found && at(found + 1, heat) > capW ? found + 1 : STEPS - 1
    while (high - low > 1) {
      const middle = (low + high) >> 1
      if (at(middle, heat) <= capW) low = middle
      else high = middle
    }
    found = low
    const lowW = at(low, heat)
    const part = (capW - lowW) / (at(high, heat) - lowW)
    return clocks[low]! + part * (clocks[high]! - clocks[low]!)
  }
  return {
    name: p.name,
    idleW: p.idleW,
    topGHz: p.topGHz,
    clockAt,
    powerAt,
    rateAtClock: (ghz) => workRate(ghz / p.topGHz, p),
    demandAt: (temperatureC) => at(STEPS - 1, heatFactor(temperatureC)),
  }
}

/**
 * Parameters of a plausible chip; `demandW` between 32 and 150 W. Threshold and exponent are wide enough for the spread of
 * published voltage-frequency tables: clock rises with power to the 0.3 at the steepest and to the 0.7 at the gentlest.
 */
export function drawChip(
  random: RandomStream,
  name: string,
  demandW = random.logUniform(32, 150),
): ChipParameters {
  return {
    name,
    idleW: random.uniform(0.035, 0.07) * demandW,
    demandW,
    topGHz: random.uniform(3.8, 5.4),
    topV: random.uniform(1.0, 1.3),
    floorV: random.uniform(0.62, 0.76),
    thresholdV: random.uniform(0.28, 0.54),
    alpha: random.uniform(1.2, 1.7),
    uncoreW: random.uniform(0.05, 0.11) * demandW,
    leakShare: random.uniform(0.03, 0.1),
    leakK: random.uniform(45, 80),
    memoryShare: random.chance(0.5) ? 0 : random.uniform(0.05, 0.35),
    memory: random.pick(['additive', 'overlap'] as const),
  }
}

function voltsFor(ghz: number, scale: number, speed: (v: number) => number, p: ChipParameters): number {
  let low = p.thresholdV
  let high = p.topV
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (scale * speed(middle) < ghz) low = middle
    else high = middle
  }
  return (low + high) / 2
}

function workRate(relativeClock: number, p: ChipParameters): number {
  if (p.memoryShare === 0) return relativeClock
  if (p.memory === 'additive') return 1 / ((1 - p.memoryShare) / relativeClock + p.memoryShare)
  const ceiling = 1.25 - p.memoryShare
  const soft = (x: number) => (x ** -6 + ceiling ** -6) ** (-1 / 6)
  return soft(relativeClock) / soft(1)
}
