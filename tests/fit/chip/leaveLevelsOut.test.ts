import { describe, expect, it } from 'vitest'
import { leaveLevelsOut } from '../../../src/fit/chip/leaveLevelsOut.js'
import { smallPosterior } from './smallPosterior.js'

describe('a level that is left out', () => {
  it('is foretold by the scale that the other runs have', () => {
    // The scale is the mean of the others, pulled towards 0 by a hundred-thousandth.
    const posterior = smallPosterior({ misfits: [[0.01, 0.02, 0.06]] })
    const [first, second, third] = leaveLevelsOut(posterior, [[0], [1], [2]])
    expect(first).toBeCloseTo(0.04 - 0.01, 6)
    expect(second).toBeCloseTo(0.035 - 0.02, 6)
    expect(third).toBeCloseTo(0.015 - 0.06, 6)
  })

  it('is missed by the mean over its runs, and they are all left out', () => {
    const posterior = smallPosterior({ misfits: [[0.01, 0.02, 0.06, 0.1]] })
    expect(leaveLevelsOut(posterior, [[0, 3]])[0]).toBeCloseTo(0.04 - 0.055, 6)
    expect(leaveLevelsOut(posterior, [])).toEqual([])
  })

  it('counts runs by how far each is trusted', () => {
    // The mean of 0.02 and 0.06 with weights 4 and 1.
    const posterior = smallPosterior({ misfits: [[0, 0.02, 0.06]], spread: [1, 1, 4] })
    expect(leaveLevelsOut(posterior, [[0]])[0]).toBeCloseTo(0.028, 5)
  })

  it('is foretold by the candidates that explain the other runs, not by the one that explains all', () => {
    // The first meets all runs to a deviation, the second two of them exactly and the third not at all.
    const misfits = [
      [-0.012, 0.012, 0],
      [0, 0, 0.08],
    ]
    const posterior = smallPosterior({ misfits, priors: [0, 5] })
    expect(posterior.shares[0]).toBeGreaterThan(0.99)
    // Without the third: likelihoods exp(-1.44) to 1, and priors of 1 to e⁵.
    expect(leaveLevelsOut(posterior, [[2]])[0]).toBeCloseTo(-0.08, 4)
    // Without the first, the second is as improbable as with it.
    expect(leaveLevelsOut(posterior, [[0]])[0]).toBeCloseTo(0.006 + 0.012, 4)
  })

  it('keeps the prior weight of each candidate', () => {
    const misfits = [
      [0, 0, 0],
      [0, 0, 0.03],
    ]
    const foretold = (prior: number) =>
      leaveLevelsOut(smallPosterior({ misfits, priors: [prior, 0] }), [[2]])[0]!
    // Alike without the third run, so that the prior decides which of them is most of the curves.
    expect(foretold(1)).toBeCloseTo(0, 5)
    expect(foretold(-1)).toBeCloseTo(-0.03, 5)
  })

  it('needs no candidate that no single level keeps improbable', () => {
    const near = smallPosterior({
      misfits: [
        [0, 0, 0],
        [0, 0, 0.06],
      ],
    })
    expect(near.shares[1]).toBeGreaterThan(1e-11)
    expect(leaveLevelsOut(near, [[2]])[0]).toBeLessThan(0)
    const far = smallPosterior({
      misfits: [
        [0, 0, 0],
        [0, 0, 0.2],
      ],
    })
    expect(far.shares[1]).toBeLessThan(1e-11)
    expect(leaveLevelsOut(far, [[2]])[0]).toBeCloseTo(0, 6)
  })

  it('is told by every other noise level', () => {
    // With the first of three levels of noise the scale is the mean of the others; the second alone would pull it to 0.
    const levels = smallPosterior({
      misfits: [[0, 0.02, 0.04]],
      variance: 1e-4,
      deviations: [0.001, 1, 0.001],
      logWeights: [0, 50, 0],
    })
    expect(leaveLevelsOut(levels, [[0]])[0]).toBeCloseTo(0.03, 3)
  })
})
