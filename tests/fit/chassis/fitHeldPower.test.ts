import { describe, expect, test } from 'vitest'
import { fitHeldPower } from '../../../src/fit/chassis/fitHeldPower.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

/** Holds one power for 20 s and another one then: its least squares are the means of the two stretches. */
const machine = ([peakW, limitW]: readonly number[]): LoopMachine => ({
  idleW: 10,
  peakW: peakW!,
  budgets: [],
  givesWay: 'latch',
  heat: null,
  timedSteps: [{ limitW: limitW!, afterS: 20 }],
  responseS: 0,
})
const MODEL = { start: [97, 62], within: [1.1, 1.1], machine }

/** One pass of 120 s, a sample a second, and five of idle power after it. */
function record(powerW: readonly number[], parts: Partial<LoadRecord> = {}): LoadRecord {
  const toS = Float64Array.from(powerW, (_, i) => i + 1)
  return {
    idleW: 10,
    idleSeen: true,
    passes: [{ startS: 0, endS: 120 }],
    fromS: toS.map((s) => s - 1),
    toS,
    powerW: Float64Array.from(powerW),
    temperatureC: null,
    pass: Int16Array.from(toS, (s) => (s <= 120 ? 0 : -1)),
    noiseW: 1,
    autocorrelation: 0,
    intervalS: 1,
    ...parts,
  }
}

const random = seededRandom(5)
const NOISY = Array.from({ length: 125 }, (_, i) => (i < 20 ? 100 : i < 120 ? 60 : 400) + random.normal())
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
const LEVELS = [mean(NOISY.slice(0, 20)), mean(NOISY.slice(20, 120))] as const

describe('a machine that is fitted to a load', () => {
  const fitted = () => fitHeldPower(record(NOISY), MODEL)

  test('has the least squares of the samples of its passes, and of no other', () => {
    const { parameters, machine: made, machineFor, samples } = fitted()
    expect(samples).toBe(120)
    expect(parameters[0]).toBeCloseTo(LEVELS[0], 2)
    expect(parameters[1]).toBeCloseTo(LEVELS[1], 2)
    expect(made).toEqual(machineFor(parameters))
  })

  test('costs the squares of what is left, in widths of the noise', () => {
    const squares = NOISY.slice(0, 120).reduce(
      (sum, powerW, i) => sum + (powerW - LEVELS[i < 20 ? 0 : 1]) ** 2,
      0,
    )
    expect(fitted().cost).toBeCloseTo(squares, 1)
    expect(fitHeldPower(record(NOISY, { noiseW: 2 }), MODEL).cost).toBeCloseTo(squares / 4, 1)
    // A level is never known better than to 0.4 % of it: 0.4 and 0.24 W.
    const shares = NOISY.slice(0, 120).reduce((sum, powerW, i) => {
      return sum + ((powerW - LEVELS[i < 20 ? 0 : 1]) / (0.004 * powerW)) ** 2
    }, 0)
    expect(fitHeldPower(record(NOISY, { noiseW: 0 }), MODEL).cost / shares).toBeLessThan(1)
  })

  test('has standard errors of the means, as logarithms', () => {
    const left = NOISY.slice(0, 120).map((powerW, i) => powerW - LEVELS[i < 20 ? 0 : 1])
    const deviation = Math.sqrt(left.reduce((sum, each) => sum + each ** 2, 0) / 118)
    const [peak, limit] = fitted().logErrors!
    // White noise is widened by little.
    for (const [error, mean] of [
      [peak!, deviation / Math.sqrt(20) / LEVELS[0]],
      [limit!, deviation / Math.sqrt(100) / LEVELS[1]],
    ] as const) {
      expect(error / mean).toBeGreaterThan(0.95)
      expect(error / mean).toBeLessThan(1.2)
    }
  })

  test('has wider ones where what is left drifts', () => {
    const drifting = NOISY.map((powerW, i) => powerW + 3 * Math.sin(i / 6))
    const { logErrors, parameters } = fitHeldPower(record(drifting), MODEL)
    const white = fitted().logErrors!
    expect(parameters[1]).toBeCloseTo(mean(drifting.slice(20, 120)), 0)
    // Three times the scatter, and a run of like signs twenty samples long.
    expect(logErrors![1]! / white[1]!).toBeGreaterThan(4)
  })

  test('is pulled by a single sample no more than by five widths of the noise', () => {
    const spiked = NOISY.with(70, 1060)
    const [, limitW] = fitHeldPower(record(spiked), MODEL).parameters
    expect(limitW! - LEVELS[1]).toBeGreaterThan(0)
    expect(limitW! - LEVELS[1]).toBeLessThan(0.1)
    // A sample that is set aside doesn't count at all.
    const aside = record(spiked)
    aside.pass[70] = -1
    const others = mean(NOISY.slice(20, 120).toSpliced(50, 1))
    const without = fitHeldPower(aside, MODEL)
    expect(without.samples).toBe(119)
    expect(without.parameters[1]).toBeCloseTo(others, 2)
  })

  test('stays within the factors that it is given', () => {
    const { parameters } = fitHeldPower(record(NOISY), { ...MODEL, start: [90, 66], within: [1.05, 1.05] })
    expect(parameters[0]).toBeCloseTo(90 * 1.05, 6)
    expect(parameters[1]).toBeCloseTo(66 / 1.05, 6)
  })
})
