import { describe, expect, it } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { leakageHeat } from '../../../src/physics/chip/leakageHeat.js'
import type { LoopEnds } from '../../../src/physics/loop/loopEnds.js'
import type { LoopRun } from '../../../src/physics/loop/simulateRun.js'
import { leakageFactors } from '../../../src/predict/projection/leakageFactors.js'
import { roomForFigures, summariseRuns, writeFigures } from '../../../src/predict/projection/runFigures.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const run = (meanW: number, durationS: number, meanRate: number): LoopRun => ({
  startS: 0,
  durationS,
  energyJ: meanW * durationS,
  meanRate,
  unfinished: false,
})
/** A loop of ten: 90 W in the first run, then 60, 50 and 40 W in the last three. */
const ENDS: LoopEnds = {
  count: 10,
  first: run(90, 50, 120),
  last: [run(60, 60, 100), run(50, 70, 90), run(40, 80, 80)],
}
const figuresOf = (chip: Chip, ends = ENDS, factors = { first: 1, settled: 1 }) => {
  const figures = roomForFigures(2)
  writeFigures(figures, 1, ends, chip, factors)
  const at = ({ score, durationS, meanW, energyWh }: typeof figures.first) =>
    [score[1], durationS[1], meanW[1], energyWh[1]].map((value) => expect.closeTo(value!, 9))
  return { first: at(figures.first), steady: at(figures.steady), untouched: figures.steady.score[0] }
}

describe('figures of a draw', () => {
  it('are those of the first run, and the mean of the last three, whose power is energy over time', () => {
    const { first, steady, untouched } = figuresOf(powerLawChip())
    expect([120, 50, 90, (90 * 50) / 3600]).toEqual(first)
    const joules = (60 * 60 + 50 * 70 + 40 * 80) / 3
    expect([90, 70, joules / 70, joules / 3600]).toEqual(steady)
    expect(untouched).toBe(0)
  })

  it('are less by what leakage leaves of the rate, and take as much longer where work is fixed', () => {
    const factors = { first: 0.9, settled: 0.8 }
    const { first, steady } = figuresOf(powerLawChip(), ENDS, factors)
    expect([108, 50 / 0.9, 90, (90 * 50) / 0.9 / 3600]).toEqual(first)
    expect(72).toEqual(steady[0])
    expect(70 / 0.8).toEqual(steady[1])
    const timed = figuresOf(powerLawChip({ workPerRun: null }), ENDS, factors)
    expect([108, 50]).toEqual(timed.first.slice(0, 2))
    expect([72, 70]).toEqual(timed.steady.slice(0, 2))
  })

  it('of a loop of three have its first run among the last', () => {
    const factors = { first: 0.5, settled: 1 }
    const three = { ...ENDS, count: 3, first: ENDS.last[0]! }
    expect((50 + 90 + 80) / 3).toEqual(figuresOf(powerLawChip(), three, factors).steady[0])
    expect(50).toEqual(
      figuresOf(powerLawChip(), { ...three, count: 1, last: [three.first] }, factors).steady[0],
    )
  })
})

describe('a run over all draws', () => {
  const columns = {
    score: Float64Array.of(100, 100),
    durationS: Float64Array.of(60, 60),
    meanW: Float64Array.of(50, 50),
    energyWh: Float64Array.of(2, 2),
  }

  it('has each of its figures, and score per watt', () => {
    const { score, durationS, meanW, energyWh, perWatt } = summariseRuns(columns, [1, 1], powerLawChip())
    const values = [score, durationS!, meanW, energyWh!, perWatt].map(({ value }) => value)
    expect(values).toEqual([100, 60, 50, 2, 2])
  })

  it('has no time and no energy where nobody knows how much work it is', () => {
    const told = summariseRuns(columns, [1, 1], powerLawChip({ workPerRun: null }))
    expect(told).toMatchObject({ durationS: null, energyWh: null, meanW: { value: 50 } })
  })
})

describe('what leakage leaves of the rate', () => {
  const thermal = {
    resistanceKPerW: about(1),
    stages: [{ rKPerW: 1, tauS: 50 }],
    ceilingC: null,
    ambientC: 22,
  }
  const chassis = oneBudget({ thermal })
  const factors = (chip: Chip, heatPerK = 0.002, ends = ENDS, more: object = {}) =>
    leakageFactors(chip, { gapS: 40, ...more }, ends, { chassis, score: 0, heatPerK, idleW: 5 })
  const chip = powerLawChip({ referenceC: 50 })
  const left = (celsius: number) => expect.closeTo(Math.exp(-0.002 * leakageHeat(celsius, 50)), 9)
  // The last run, 80 s at 40 W, rests for 40 s at 5 W.
  const settledC = 22 + (40 * 80 + 5 * 40) / 120

  it('follows from how warm the first run and the last become', () => {
    const warmed = 1 - (50 / 50) * (1 - Math.exp(-50 / 50))
    expect(factors(chip)).toEqual({ first: left(22 + 90 * warmed), settled: left(settledC) })
    expect(factors(chip, 0.002, ENDS, { ambientC: 30 }).settled).toEqual(left(settledC + 8))
  })

  it('is that of a machine at rest where the loop has one run', () => {
    const warmed = 1 - (50 / 80) * (1 - Math.exp(-80 / 50))
    const one = { count: 1, first: ENDS.last[2]!, last: [ENDS.last[2]!] }
    expect(factors(chip, 0.002, one).settled).toEqual(left(22 + 40 * warmed))
  })

  it('is all of it where temperature is not known, or makes no difference', () => {
    expect(factors(powerLawChip())).toEqual({ first: 1, settled: 1 })
    expect(factors(chip, 0)).toEqual({ first: 1, settled: 1 })
  })
})
