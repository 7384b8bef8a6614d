import type { Trace } from '../log/trace.js'
import { medianAbsoluteDeviation } from '../numeric/statistics/medianAbsoluteDeviation.js'
import type { Load } from '../segment/load.js'
import { formatQuantity } from '../units.js'
import type { Finding } from './finding.js'

/** Whether the sensors can be believed: stuck, clipped, coarsely quantised, spiky. */
export function auditSensors(trace: Trace, load: Load): readonly Finding[] {
  const power = within(trace, trace.powerW, load)
  const quantumW = smallestStep(power)
  const shown: SensorView = { trace, load, power, quantumW }
  return [
    ...auditStuckPower(shown),
    ...auditClippedPower(shown),
    ...auditQuantum(shown),
    ...auditSpikes(shown),
    ...auditStuckTemperature(trace, load),
  ]
}

interface SensorView {
  readonly trace: Trace
  readonly load: Load
  /** Samples of the load. */
  readonly power: Float64Array
  readonly quantumW: number
}

function within(trace: Trace, values: Float64Array, load: Load): Float64Array {
  return values.filter((_, i) => trace.timesS[i]! >= load.startS && trace.timesS[i]! <= load.endS)
}

/** Readings of one value that went through an energy counter differ by rounding: up to this share of it. */
const SAME_SHARE = 2e-4

function isSame(a: number, b: number): boolean {
  return Math.abs(a - b) <= SAME_SHARE * Math.max(Math.abs(a), Math.abs(b))
}

/** Readings that a coarse sensor repeats hold most of its samples. */
const REPEATED_LEAST = 3
const REPEATED_SHARE = 0.6

/** The least difference between two values that occur often: the last digit of the sensor; 0 when it is too fine to see. */
function smallestStep(values: Float64Array): number {
  const levels: { value: number; count: number }[] = []
  for (const value of Float64Array.from(values).sort()) {
    const last = levels.at(-1)
    if (last !== undefined && isSame(value, last.value)) last.count += 1
    else levels.push({ value, count: 1 })
  }
  const repeated = levels.filter((level) => level.count >= REPEATED_LEAST)
  const held = repeated.reduce((sum, level) => sum + level.count, 0)
  if (repeated.length < 2 || held < REPEATED_SHARE * values.length) return 0
  return Math.min(...repeated.slice(1).map((level, i) => level.value - repeated[i]!.value))
}

/** Below this share of its last digit, noise is hidden by it, and equal values mean nothing. */
const NOISE_OF_QUANTUM = 0.5
/** A chance run of equal values grows with ln n; three times the longest to be expected is none. */
const STUCK_TIMES_EXPECTED = 3
const STUCK_LEAST_S = 20

function auditStuckPower({ trace, load, power, quantumW }: SensorView): readonly Finding[] {
  if (load.noiseW < NOISE_OF_QUANTUM * quantumW || power.length < 30) return []
  const longest = longestRepeat(power)
  let repeats = 0
  for (let i = 1; i < power.length; i++) if (isSame(power[i]!, power[i - 1]!)) repeats++
  const chance = Math.max(0.02, (repeats - longest.count + 1) / Math.max(1, power.length - longest.count))
  const expected = Math.log(power.length) / Math.log(1 / Math.min(0.95, chance))
  const lastsS = longest.count * trace.intervalS
  if (longest.count < STUCK_TIMES_EXPECTED * expected + 5 || lastsS < STUCK_LEAST_S) return []
  const first = trace.timesS.findIndex((time) => time >= load.startS)
  const share = lastsS / (load.endS - load.startS)
  return [
    {
      code: 'sensor-stuck',
      severity: share > 0.05 ? 'unsafe' : 'caution',
      message: `The power reads exactly ${formatQuantity(power[longest.from]!, 'power')} for ${formatQuantity(lastsS, 'time')} while it varies elsewhere: the sensor or the logger was stuck there. Log again; close other programs that read the same sensor.`,
      atS: trace.timesS[Math.max(0, first) + longest.from]!,
    },
  ]
}

function longestRepeat(values: Float64Array): { readonly from: number; readonly count: number } {
  let best = { from: 0, count: 1 }
  let from = 0
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && isSame(values[i]!, values[from]!)) continue
    if (i - from > best.count) best = { from, count: i - from }
    from = i
  }
  return best
}

const CLIPPED_LEAST = 8
/** Width in noises of the band below the top value that is held against it: a normal level has more there than at its top. */
const CLIPPED_BAND = 0.25

/** A level varies on both sides; one that never exceeds a value that it reads again and again has been cut off there. */
function auditClippedPower({ trace, load, power, quantumW }: SensorView): readonly Finding[] {
  const top = highest(trace, load)
  const noiseW = Math.max(load.noiseW, noiseBelow(power, top))
  if (noiseW < 0.8 * quantumW || noiseW < 5 * SAME_SHARE * top) return []
  const atTop = power.filter((value) => isSame(value, top)).length
  const bandW = Math.max(1.5 * quantumW, CLIPPED_BAND * noiseW)
  const below = power.filter((value) => value < top && !isSame(value, top) && value >= top - bandW).length
  if (atTop < CLIPPED_LEAST || atTop <= 1.5 * below) return []
  const index = trace.powerW.findIndex((value, i) => isSame(value, top) && trace.timesS[i]! >= load.startS)
  return [
    {
      code: 'sensor-clipped',
      severity: 'unsafe',
      message: `The power reads exactly ${formatQuantity(top, 'power')} ${atTop} times and never more: the sensor or the logger cuts it off there. The true power is higher, and scores are paired with too low a power. Use another column or logger.`,
      atS: trace.timesS[index]!,
    },
  ]
}

/** The highest power of a load, spikes left out. */
function highest(trace: Trace, load: Load): number {
  const spikes = new Set(load.spikesAtS)
  let top = 0
  trace.timesS.forEach((time, i) => {
    if (time >= load.startS && time <= load.endS && !spikes.has(time)) top = Math.max(top, trace.powerW[i]!)
  })
  return top
}

/** Noise of the working samples that are clearly below the top, where nothing cuts it off: from successive differences. */
function noiseBelow(power: Float64Array, top: number): number {
  const steps: number[] = []
  for (let i = 1; i < power.length; i++) {
    const [a, b] = [power[i - 1]!, power[i]!]
    if (a < 0.97 * top && b < 0.97 * top && a > 0.3 * top && b > 0.3 * top) steps.push(Math.abs(b - a))
  }
  return steps.length < 20 ? 0 : medianAbsoluteDeviation(steps) / Math.SQRT2
}

/** Half of the last digit as a share of the settled power: where it decides the second digit of an elasticity. */
const QUANTUM_CAUTION = 0.02

function auditQuantum({ load, quantumW }: SensorView): readonly Finding[] {
  const share = quantumW / load.sustained.levelW.value
  if (share < QUANTUM_CAUTION || load.noiseW > quantumW) return []
  return [
    {
      code: 'quantised-coarsely',
      severity: 'caution',
      message: `Power comes in steps of ${formatQuantity(quantumW, 'power')}, ${(100 * share).toFixed(0)} % of the settled power: a level may be wrong by half a step, which its interval for noise does not cover. Log with more digits, or an energy counter.`,
      atS: null,
    },
  ]
}

const MANY_SPIKES = 0.01

function auditSpikes({ load, power }: SensorView): readonly Finding[] {
  const count = load.spikesAtS.length
  if (count === 0) return []
  return [
    {
      code: 'spikes',
      severity: count > MANY_SPIKES * power.length && count > 5 ? 'caution' : 'note',
      message:
        count === 1
          ? 'A single sample lies far from its neighbours and was set aside; levels are computed without it.'
          : `${count} single samples lie far from their neighbours and were set aside; levels are computed without them.`,
      atS: load.spikesAtS[0]!,
    },
  ]
}

function auditStuckTemperature(trace: Trace, load: Load): readonly Finding[] {
  if (trace.temperatureC === null) return []
  const seen = trace.temperatureC.filter((value) => Number.isFinite(value))
  const varies = seen.some((value) => value !== seen[0])
  if (varies || seen.length < 30 || load.endS - load.startS < 60) return []
  return [
    {
      code: 'temperature-stuck',
      severity: 'caution',
      message: `The temperature reads ${formatQuantity(seen[0]!, 'temperature')} from first to last sample, idle and under load: the sensor is stuck, or it is another part's. So the log cannot show whether heat holds the power; choose another column with --temperature.`,
      atS: null,
    },
  ]
}
