import { describe, expect, test } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import type { ScoreCurve } from '../../../src/physics/chip/scoreCurve.js'
import { findCrossovers } from '../../../src/predict/comparison/findCrossovers.js'
import { powerLawChip } from '../fixtures.js'

/** Rate 100 at `atW`. */
const through = (atW: number, exponent: number): ScoreCurve => ({
  shape: 'power-law',
  scale: 100 / atW ** exponent,
  exponent,
})

/** Measured from 50 to 70 W, so that crossings are looked for from 40 to 87.5 W. */
function chip(name: string, ...curves: readonly ScoreCurve[]): Chip {
  return powerLawChip({ name, draws: curves.map((curve) => ({ weight: 1 / curves.length, curve })) })
}

describe('a crossover', () => {
  test.each([41, 55, 62.5, 86])('is where two curves meet, at %f W as anywhere that is looked at', (atW) => {
    const [found, ...others] = findCrossovers([
      chip('Flat', through(atW, 0.4)),
      chip('Steep', through(atW, 0.8)),
    ])
    expect(others).toEqual([])
    expect(found).toMatchObject({ between: ['Flat', 'Steep'], probability: 1, aheadBelow: 'Flat' })
    expect(found!.powerW.value).toBeCloseTo(atW, 9)
  })

  test('names the chip that is ahead below, in whatever order they stand', () => {
    const chips = [chip('Steep', through(60, 0.8)), chip('Flat', through(60, 0.4))]
    expect(findCrossovers(chips)[0]).toMatchObject({ between: ['Steep', 'Flat'], aheadBelow: 'Flat' })
  })

  test.each([39, 89])('is not told of %f W, too far from all that was measured', (atW) => {
    expect(findCrossovers([chip('Flat', through(atW, 0.4)), chip('Steep', through(atW, 0.8))])).toEqual([])
  })

  test('is told with its probability, and only where that is high enough', () => {
    // Three of ten draws cross the other chip; seven are ahead throughout.
    const draws = Array.from({ length: 10 }, (_, k) => through(k < 3 ? 60 : 10, 0.8))
    const chips = [chip('Some', ...draws), chip('Flat', through(60, 0.4))]
    expect(findCrossovers(chips)).toEqual([])
    const [found] = findCrossovers(chips, 0.25)
    expect(found!.probability).toBeCloseTo(0.3, 2)
    expect(findCrossovers(chips, 0.35)).toEqual([])
  })

  test('names the chips that were not measured there', () => {
    const namesAt = (atW: number, range: readonly [number, number] = [50, 70]) =>
      findCrossovers([
        chip('Flat', through(atW, 0.4)),
        { ...chip('Steep', through(atW, 0.8)), measuredRangeW: range },
      ])[0]!.extrapolated
    expect(namesAt(60)).toEqual([])
    expect(namesAt(48)).toEqual(['Flat', 'Steep'])
    expect(namesAt(72)).toEqual(['Flat', 'Steep'])
    expect(namesAt(72, [50, 73])).toEqual(['Flat'])
  })

  test('is looked for wherever either chip was measured', () => {
    for (const atW of [42, 108]) {
      const low = chip('Flat', through(atW, 0.4))
      const high = { ...chip('Steep', through(atW, 0.8)), measuredRangeW: [60, 90] as const }
      for (const chips of [
        [low, high],
        [high, low],
      ]) {
        expect(findCrossovers(chips, 1)[0]?.powerW.value).toBeCloseTo(atW, 9)
      }
    }
  })

  test.each([
    [45, 62, 62, 'Bent'],
    [57, 84, 57, 'Straight'],
  ])(
    'of several of one pair, at %f and %f W, is the one nearest to the middle, 59.2 W',
    (lowW, highW, atW, ahead) => {
      // ln of the ratio is -0.1 t (t - ln(high / low)), t = ln(P / low).
      const bent: ScoreCurve = {
        shape: 'log-quadratic',
        scale: 100,
        referenceW: lowW,
        topW: null,
        bend: null,
        slope: 0.5 + 0.1 * Math.log(highW / lowW),
        curvature: -0.1,
      }
      const [found] = findCrossovers([chip('Bent', bent), chip('Straight', through(lowW, 0.5))])
      expect(found!.powerW.value).toBeCloseTo(atW, 1)
      expect(found!.aheadBelow).toBe(ahead)
    },
  )

  test('of a chip with itself is none', () => {
    const same = powerLawChip()
    expect(findCrossovers([same, same], 0)).toEqual([])
  })
})
