import { describe, expect, it } from 'vitest'
import { findRelaxingRun } from '../../../src/segment/stages/findRelaxingRun.js'
import { stretchesOf } from '../makeRun.js'

/** Runs of so many samples at 100 W that lie above that by these shares until their last third begins. */
function loop(shares: readonly number[], samples = 61) {
  return shares.map((share, runIndex) => {
    const stretches = stretchesOf({ parts: [[{ samples, levelW: 0 }]], startS: 100 * runIndex, runIndex })
    const { powerW } = stretches[0]!.run.series
    powerW.fill(100 * (1 + share)).fill(100, Math.floor(0.7 * samples))
    return stretches
  })
}

const noise = (scale: number, autocorrelation = 0) => ({ scale, autocorrelation })

describe('a loop that heat holds', () => {
  it('falls within its later runs, by 0.8 % or more on the median', () => {
    expect(findRelaxingRun(loop([0.01, 0.01, 0.01, 0.01]), noise(0))).toBe(2)
    expect(findRelaxingRun(loop([0.007, 0.007, 0.007, 0.007]), noise(0))).toBeUndefined()
    expect(findRelaxingRun(loop([0, 0, 0.03, 0, 0, 0]), noise(0))).toBeUndefined()
    expect(findRelaxingRun(loop([-0.03, -0.03, -0.03, -0.03]), noise(0))).toBeUndefined()
  })

  it('began to with the first run that falls by more than 2 %', () => {
    expect(findRelaxingRun(loop([0, 0.021, 0.03, 0.03]), noise(0))).toBe(1)
    expect(findRelaxingRun(loop([0, 0.019, 0.03, 0.03]), noise(0))).toBe(2)
  })

  it('falls by more than three errors of that', () => {
    // Medians of 13 and 13 samples: 1.25 × scale × sqrt(2/13) / 100 W each, and once more 1.25 / sqrt(2) for their median over two runs.
    const limit = 1 / ((3 * 1.25 * 1.25 * Math.sqrt(2 / 13)) / Math.sqrt(2))
    const ones = loop([0.01, 0.01, 0.01, 0.01])
    expect(findRelaxingRun(ones, noise(0.98 * limit))).toBe(2)
    expect(findRelaxingRun(ones, noise(1.02 * limit))).toBeUndefined()
    // Correlation by a half triples the variance.
    expect(findRelaxingRun(ones, noise((0.98 * limit) / Math.sqrt(3), 0.5))).toBe(2)
    expect(findRelaxingRun(ones, noise((1.02 * limit) / Math.sqrt(3), 0.5))).toBeUndefined()
  })

  it('is seen from runs that are long enough: 6 s between the middles, three samples a third', () => {
    expect(findRelaxingRun(loop([0.03, 0.03, 0.03, 0.03], 16), noise(0))).toBe(0)
    expect(findRelaxingRun(loop([0.03, 0.03, 0.03, 0.03], 15), noise(0))).toBeUndefined()
  })

  it('is not seen in a single later run', () => {
    expect(findRelaxingRun(loop([0.03, 0.03]), noise(0))).toBeUndefined()
    expect(findRelaxingRun(loop([0.03, 0.03, 0.03]), noise(0))).toBe(0)
  })

  it('began with a run whose course is a decay, though its end is level', () => {
    const runs = [0, 1, 2, 3].map((runIndex) =>
      stretchesOf({
        parts: [[{ samples: 61, levelW: 100, amplitudeW: runIndex === 0 ? 0 : 30, tauS: 6 }]],
        startS: 100 * runIndex,
        runIndex,
      }),
    )
    for (const [k, [stretch]] of runs.entries())
      stretch!.run.series.powerW.fill(k < 2 ? 100 : 101).fill(100, 45)
    expect(findRelaxingRun(runs, noise(0))).toBe(1)
  })

  it('leaves out samples that are set aside', () => {
    const runs = loop([0, 0, 0, 0])
    for (const [stretch] of runs) {
      stretch!.run.series.powerW.fill(200, 24, 33)
      stretch!.run.series.weights.fill(0, 24, 33)
    }
    expect(findRelaxingRun(runs, noise(0))).toBeUndefined()
  })
})
