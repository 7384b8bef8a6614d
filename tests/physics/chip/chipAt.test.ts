import { describe, expect, it } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import {
  chipAlong,
  chipAt,
  rateFromScore,
  scoreFromRate,
  scorePerWatt,
} from '../../../src/physics/chip/chipAt.js'
import { elasticityAt, rateAt, type ScoreCurve } from '../../../src/physics/chip/scoreCurve.js'

const offsets = [10, 20, 30, 40]
const chip: Chip = {
  name: 'Kestrel 16',
  workload: { name: 'tile render', score: 'points', better: 'higher' },
  measuredRangeW: [50, 100],
  draws: offsets.map((fixedW) => ({
    weight: 0.25,
    curve: {
      shape: 'offset-power-law',
      scale: 1000,
      referenceW: 80,
      topW: null,
      bend: null,
      fixedW,
      exponent: 0.5,
    },
  })),
  demandW: null,
  workPerRun: null,
}

describe('chipAt', () => {
  it('gives score, score per watt and elasticity with intervals from the draws', () => {
    const point = chipAt(chip, 80)!
    expect(point.score).toMatchObject({ value: 1000, low: 1000, high: 1000 })
    expect(point.perWatt.value).toBeCloseTo(12.5, 10)
    // 0.5 P / (P - fixed): 0.571 to 1.
    expect(point.elasticity.low).toBeGreaterThan(0.57)
    expect(point.elasticity.high).toBeLessThanOrEqual(1)
  })

  it('speaks of next to nothing, with a wide interval, where most draws have no power left for work', () => {
    const { low, value, high } = chipAt(chip, 15)!.score
    expect(low).toBeGreaterThan(0)
    expect(value).toBeLessThan(0.05 * 1000)
    expect(high / low).toBeGreaterThan(10)
  })

  it('is undefined at no power', () => {
    expect(chipAt(chip, 0)).toBeUndefined()
  })
})

describe('scores of two directions', () => {
  const timed = { name: 'compile', score: 'min', better: 'lower' } as const

  it('turn a time into a rate and back', () => {
    expect(scoreFromRate(timed, rateFromScore(timed, 12.5))).toBe(12.5)
    expect(scoreFromRate(chip.workload, rateFromScore(chip.workload, 12.5))).toBe(12.5)
  })

  it('count runs per watt-hour for a time, whatever its unit', () => {
    // 2 min at 60 W are 2 Wh a run.
    expect(scorePerWatt(timed, 2, 60)).toBeCloseTo(0.5, 12)
    expect(scorePerWatt({ ...timed, score: 's' }, 120, 60)).toBeCloseTo(0.5, 12)
    expect(scorePerWatt(chip.workload, 1000, 80)).toBe(12.5)
  })
})

describe('chipAlong', () => {
  const floor = {
    shape: 'voltage-floor',
    scale: 900,
    referenceW: 60,
    fixedW: 6,
    leakageW: 9,
    dynamicW: 45,
  } as const
  const voltage = { linear: 0.5, quadratic: 0.2, voltageClock: 1, floorVoltage: 0.75 }
  const bend = { tilt: 0.03, stepLn: 0.15, above: [0.02, -0.04], below: [-0.01, 0.05] }
  const curves: readonly ScoreCurve[] = [
    { ...floor, ...voltage, memoryShare: 0, overlap: 1, topW: 90, bend },
    { ...floor, ...voltage, memoryShare: 0.3, overlap: 1, topW: null, bend: null },
    { ...floor, ...voltage, memoryShare: 0.4, overlap: 3, topW: null, bend },
    { shape: 'power-law', scale: 120, exponent: 0.5 },
  ]
  const powersW = [0, 4, 12, 20, 33, 47, 60, 61, 90, 91, 140]

  it('says of each power what the curve alone does', () => {
    for (const curve of curves) {
      const one: Chip = { ...chip, draws: [{ weight: 1, curve }] }
      const points = chipAlong(one, powersW)
      expect(points).toHaveLength(powersW.length)
      for (const [g, point] of points.entries()) {
        const rate = rateAt(curve, powersW[g]!)
        expect(point === undefined).toBe(rate === 0)
        if (point === undefined) continue
        expect(point.powerW).toBe(powersW[g])
        expect(point.score.value / rate).toBeCloseTo(1, 10)
        expect(point.elasticity.value).toBeCloseTo(elasticityAt(curve, powersW[g]!)!, 7)
      }
    }
  })
})
