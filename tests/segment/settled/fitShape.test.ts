import { describe, expect, it } from 'vitest'
import { condense, fitShape, type Section, shapeAt } from '../../../src/segment/settled/fitShape.js'

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)

function section(powers: readonly number[], weights = powers.map(() => 1)): Section {
  return {
    sinceS: Float64Array.from(powers, (_, i) => 2 * i),
    powerW: Float64Array.from(powers),
    weights: Float64Array.from(weights),
  }
}

describe('the shape of a relaxation', () => {
  it('is 1 at its start and has a companion four times as slow', () => {
    const shape = { tauS: 10, slowShare: 0.15 }
    expect(shapeAt(shape, 0)).toBeCloseTo(1, 12)
    expect(shapeAt(shape, 20)).toBeCloseTo((Math.exp(-2) + 0.15 * Math.exp(-0.5)) / 1.15, 12)
    expect(shapeAt({ tauS: 10, slowShare: 0 }, 20)).toBeCloseTo(Math.exp(-2), 12)
    expect(shapeAt({ tauS: Number.POSITIVE_INFINITY, slowShare: 0 }, 20)).toBe(0)
  })
})

describe('level and amplitudes of a shape', () => {
  const shape = { tauS: 8, slowShare: 0.3 }
  const options = { noiseVariance: 4, amplitudeW: 5 }
  const ridge = 4 / 25
  const sections = [section([95, 90, 84, 85, 80, 79]), section([93, 86, 85, 300, 81], [1, 1, 1, 0, 1])]
  const shapes = sections.map(({ sinceS }) =>
    Array.from(sinceS, (since) => (Math.exp(-since / 8) + 0.3 * Math.exp(-since / 32)) / 1.3),
  )
  /** The fit, and what it leaves over. */
  const fitted = () => {
    const fit = fitShape(sections.map(condense), shape, options)!
    const left = sections.map(({ powerW, weights }, k) =>
      Array.from(
        powerW,
        (watts, i) => weights[i]! * (watts - fit.levelW - fit.amplitudesW[k]! * shapes[k]![i]!),
      ),
    )
    return { fit, left }
  }

  it('are least squares with a ridge for the amplitudes’ prior: the derivatives vanish', () => {
    const { fit, left } = fitted()
    expect(sum(left.flat())).toBeCloseTo(0, 9)
    for (const k of [0, 1])
      expect(sum(left[k]!.map((watts, i) => watts * shapes[k]![i]!))).toBeCloseTo(
        ridge * fit.amplitudesW[k]!,
        9,
      )
  })

  it('cost the residuals’ squares and the amplitudes’, by the ridge', () => {
    const { fit, left } = fitted()
    const squares = sum(left.flat().map((watts) => watts * watts))
    expect(fit.misfit).toBeCloseTo(squares + ridge * sum(fit.amplitudesW.map((watts) => watts * watts)), 7)
  })

  it('tell the level as well as its entry of the inverse normal matrix says', () => {
    const { fit } = fitted()
    // Schur complement of the level in [[W, f...], [f, ff + ridge]].
    const schur = sum(
      sections.map(({ weights }, k) => {
        const f = sum(shapes[k]!.map((value, i) => weights[i]! * value))
        const ff = sum(shapes[k]!.map((value, i) => weights[i]! * value * value))
        return sum(Array.from(weights)) - f ** 2 / (ff + ridge)
      }),
    )
    expect(fit.information).toBeCloseTo(schur, 9)
    const shrink = sections.map(({ weights }, k) =>
      Math.log(1 + sum(shapes[k]!.map((value, i) => weights[i]! * value * value)) / ridge),
    )
    expect(fit.logShrink).toBeCloseTo(-0.5 * sum(shrink), 9)
    expect(fit.shape).toBe(shape)
  })

  it('are no wider than noise: the ridge is at most 1', () => {
    const narrow = fitShape(sections.map(condense), shape, { noiseVariance: 4, amplitudeW: 0.1 })!
    const one = fitShape(sections.map(condense), shape, { noiseVariance: 4, amplitudeW: 2 })!
    expect(narrow).toEqual(one)
  })

  it('of a flat shape are the mean, without an amplitude', () => {
    const flat = fitShape(
      [condense(section([1, 2, 6]))],
      { tauS: Number.POSITIVE_INFINITY, slowShare: 0 },
      options,
    )!
    expect(flat).toMatchObject({ levelW: 3, information: 3, misfit: 14, logShrink: 0, amplitudesW: [0] })
  })

  it('are none where no sample counts', () => {
    const nothing = [condense(section([1, 2, 6], [0, 0, 0]))]
    expect(fitShape(nothing, shape, options)).toBeUndefined()
  })
})

describe('a long section', () => {
  const powers = Array.from({ length: 1000 }, (_, i) => 80 + ((7 * i) % 13))
  const weights = powers.map((_, i) => (i % 10 === 3 ? 0 : 1))
  const whole = section(powers, weights)

  it('becomes means of blocks of a hundredth of what came before, single samples up to 200', () => {
    const short = condense(whole)
    expect(short.powerW.length).toBeLessThan(420)
    expect(Array.from(short.powerW.subarray(0, 200), (watts, i) => watts * short.weights[i]!)).toEqual(
      powers.slice(0, 200).map((watts, i) => watts * weights[i]!),
    )
    // From 200 on two at a time.
    expect(short.weights[200]).toBe(2)
    expect(short.powerW[200]).toBeCloseTo((powers[200]! + powers[201]!) / 2, 12)
    expect(short.sinceS[200]).toBeCloseTo(401, 12)
    expect(short.weights[201]).toBe(1)
  })

  it('keeps the sums of weights, of power and of time', () => {
    const short = condense(whole)
    const total = (values: Float64Array, counts: ArrayLike<number>) =>
      sum(Array.from(values, (value, i) => value * counts[i]!))
    expect(short.weight).toBe(900)
    expect(short.y).toBeCloseTo(total(whole.powerW, whole.weights), 6)
    expect(total(short.sinceS, short.weights)).toBeCloseTo(total(whole.sinceS, whole.weights), 6)
    expect(short.yy).toBeCloseTo(
      sum(Array.from(short.powerW, (watts, i) => short.weights[i]! * watts ** 2)),
      6,
    )
  })

  it('has empty blocks where no sample counts', () => {
    const gap = condense(
      section(
        powers,
        powers.map((_, i) => (i >= 200 && i < 202 ? 0 : 1)),
      ),
    )
    expect([gap.weights[200], gap.powerW[200], gap.sinceS[200]]).toEqual([0, 0, 0])
  })

  it('is not copied where it is short', () => {
    const few = section(powers.slice(0, 150))
    expect(condense(few).powerW).toBe(few.powerW)
  })
})
