import type { Trace } from '../../log/trace.js'
import type { Load } from '../../segment/load.js'
import { formatQuantity } from '../../units.js'
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

/** The least difference between two values that occur: the last digit of the sensor. */
function smallestStep(values: Float64Array): number {
  const sorted = Float64Array.from(values).sort()
  let step = Number.POSITIVE_INFINITY
  for (let i = 1; i < sorted.length; i++) {
    const gap = sorted[i]! - sorted[i - 1]!
    if (gap > 1e-6) step = Math.min(step, gap)
  }
  return Number.isFinite(step) ? step : 0
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
  for (let i = 1; i < power.length; i++) if (power[i] === power[i - 1]) repeats++
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
      message: `The power reads exactly ${formatQuantity(power[longest.from]!, 'power')} for ${formatQuantity(lastsS, 'time')} while it varies elsewhere: the sensor or the logger was stuck, and that stretch tells nothing. Log again; close other programs that read the same sensor.`,
      atS: trace.timesS[Math.max(0, first) + longest.from]!,
    },
  ]
}

function longestRepeat(values: Float64Array): { readonly from: number; readonly count: number } {
  let best = { from: 0, count: 1 }
  let from = 0
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue
    if (i - from > best.count) best = { from, count: i - from }
    from = i
  }
  return best
}

const CLIPPED_LEAST = 8

/** A level varies on both sides; one that never exceeds a value that it reads again and again has been cut off there. */
function auditClippedPower({ trace, load, power, quantumW }: SensorView): readonly Finding[] {
  if (load.noiseW < 0.8 * quantumW) return []
  const spikes = new Set(load.spikesAtS)
  let top = 0
  trace.timesS.forEach((time, i) => {
    if (time >= load.startS && time <= load.endS && !spikes.has(time)) top = Math.max(top, trace.powerW[i]!)
  })
  const reach = Math.max(load.noiseW, quantumW)
  const atTop = power.filter((value) => value === top).length
  const below = power.filter((value) => value < top && value >= top - reach).length
  if (atTop < CLIPPED_LEAST || atTop <= 2 * below) return []
  const index = trace.powerW.findIndex((value, i) => value === top && trace.timesS[i]! >= load.startS)
  return [
    {
      code: 'sensor-clipped',
      severity: 'unsafe',
      message: `The power reads exactly ${formatQuantity(top, 'power')} ${atTop} times and never more: the sensor or the logger cuts it off there. The true burst is higher, and scores are set against too few watts. Use another column or logger.`,
      atS: trace.timesS[index]!,
    },
  ]
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
      message: `Power comes in steps of ${formatQuantity(quantumW, 'power')}, ${(100 * share).toFixed(0)} % of the settled power: a level may be off by half a step, whatever its interval says of noise. Log with more digits, or an energy counter.`,
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
      message: `${count} single samples lie far from their neighbours and were set aside; levels are found without them.`,
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
      message: `The temperature reads ${formatQuantity(seen[0]!, 'temperature')} from first to last sample, idle and under load: the sensor is stuck, or it is another part's. Whether heat held the power can't be judged; pick another column with --temperature.`,
      atS: null,
    },
  ]
}
