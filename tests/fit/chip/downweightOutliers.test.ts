import { describe, expect, it } from 'vitest'
import { downweightOutliers } from '../../../src/fit/chip/downweightOutliers.js'
import { smallPosterior } from './smallPosterior.js'

/** Spreads of runs whose scale is told by noise of 1 %, with a prior that leaves it where the first runs are. */
function spreads(
  misfits: readonly number[],
  { spread = misfits.map(() => 1), powerErrors = misfits.map(() => 0), ordinary = misfits.map(() => 1) } = {},
) {
  const posterior = smallPosterior({ misfits: [misfits], variance: 1e-12, spread })
  return [...downweightOutliers(posterior, powerErrors, Float64Array.from(ordinary))]
}

describe('a run far off the curve', () => {
  // The others agree to less than 0.3 %, which their scatter is never taken for: the bound is 3.5 × 0.3 % = 1.05 %.
  const agreeing = [0, 0, 0, 0]

  it('loses weight by the fourth power of how far beyond the bound it lies', () => {
    expect(spreads([...agreeing, 0.0104])).toEqual([1, 1, 1, 1, 1])
    const [, , , , twice] = spreads([...agreeing, 0.021])
    expect(twice).toBeCloseTo(16, 4)
    expect(spreads([...agreeing, -0.021])[4]).toBeCloseTo(16, 4)
  })

  it('is judged by the scatter of the others where that is more', () => {
    // The median distance from the median of these is 0.01: 1.4826 deviations.
    const scattered = [-0.02, -0.01, 0, 0.01, 0.02]
    expect(spreads(scattered)).toEqual([1, 1, 1, 1, 1])
    const more = spreads([-0.02, -0.01, 0, 0.01, 0.02, 0, 0.2])
    const bound = 3.5 * 1.4826 * 0.01
    expect(more[6]! ** 0.25).toBeCloseTo(0.2 / bound, 2)
  })

  it('may be so by the error of its power', () => {
    const powerErrors = [0, 0, 0, 0, 0.004]
    expect(spreads([...agreeing, 0.035], { powerErrors })[4]! ** 0.25).toBeCloseTo(0.035 / (3.5 * 0.005), 4)
  })

  it('keeps the spread that it has, and is judged by it', () => {
    // Noise of twice the ordinary deviation moves the bound out by as much.
    const spread = [1, 1, 1, 1, 4]
    expect(spreads([...agreeing, 0.02], { spread })[4]).toBe(4)
    expect(spreads([...agreeing, 0.042], { spread })[4]).toBeCloseTo(64, 3)
    // A mean of four runs is judged as one is.
    const ordinary = [1, 1, 1, 1, 0.25]
    expect(spreads([...agreeing, 0.021], { spread: ordinary, ordinary })[4]).toBeCloseTo(0.25 * 16, 4)
  })

  it('is nobody’s to name among four runs', () => {
    expect(spreads([0, 0, 0, 0.5])).toEqual([1, 1, 1, 1])
  })
})
