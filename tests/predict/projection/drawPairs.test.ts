import { describe, expect, it } from 'vitest'
import { drawPairs } from '../../../src/predict/projection/drawPairs.js'
import { powerLawChip } from '../fixtures.js'

const { draws } = powerLawChip()
const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)

describe('pairs of chips and chassis', () => {
  it('are the chip’s draws themselves where the chassis is certain', () => {
    const pairs = drawPairs(draws, 0)
    expect(pairs.map(({ curve }) => curve)).toEqual(draws.map(({ curve }) => curve))
    expect(pairs[0]).toMatchObject({ weight: draws[0]!.weight, scores: [], heatPerK: 0 })
    expect(drawPairs([{ ...draws[0]!, heatPerK: 2e-4 }], 0)[0]!.heatPerK).toBe(2e-4)
  })

  it('are at least 200, each draw as often as any other, with the weight that it had', () => {
    const pairs = drawPairs(draws, 3)
    expect(pairs).toHaveLength(5 * 41)
    for (const { curve, weight } of draws) {
      const own = pairs.filter((pair) => pair.curve === curve)
      expect(own).toHaveLength(5)
      expect(sum(own.map((pair) => pair.weight))).toBeCloseTo(weight, 12)
    }
    expect(drawPairs(draws.slice(0, 1), 1)).toHaveLength(200)
    expect(drawPairs([{ ...draws[0]!, heatPerK: 2e-4 }], 1)[7]!.heatPerK).toBe(2e-4)
  })

  it('have normal scores that are spread evenly: mean 0, variance 1, no two alike', () => {
    const pairs = drawPairs(draws, 2)
    for (const k of [0, 1]) {
      const scores = pairs.map((pair) => pair.scores[k]!)
      expect(Math.abs(sum(scores) / scores.length)).toBeLessThan(0.05)
      expect(sum(scores.map((score) => score ** 2)) / scores.length).toBeCloseTo(1, 1)
    }
    expect(Math.abs(sum(pairs.map(({ scores }) => scores[0]! * scores[1]!)) / pairs.length)).toBeLessThan(0.1)
    expect(new Set(pairs.map(({ scores }) => scores[0])).size).toBe(pairs.length)
  })
})
