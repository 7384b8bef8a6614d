import { describe, expect, it } from 'vitest'
import { lagOneCorrelation } from '../../../src/numeric/statistics/noise.js'
import { cleanRun, cutRun, residualNoise, wholeRun } from '../../../src/segment/cut/cutRun.js'
import { randomStream } from '../../worlds/randomStream.js'
import { makeRun } from '../makeRun.js'

const quiet = { scale: 0.5, autocorrelation: 0 }

/** Places that are set aside of a run at 100 W with these samples changed. */
function setAside(
  changed: Readonly<Record<number, number>>,
  { length = 40, scale = 0.5, averaged = true } = {},
) {
  const powerW = Float64Array.from({ length }, (_, i) => changed[i] ?? 100)
  const timesS = powerW.map((_, i) => i)
  const ends = { opens: true, closes: true }
  const { weights } = cleanRun(timesS, powerW, { noise: { ...quiet, scale }, ends, averaged })
  return Array.from(weights.keys()).filter((i) => weights[i] === 0)
}

describe('samples set aside', () => {
  it('are spikes of more than 3 % of the level and six noise scales, up or down', () => {
    expect(setAside({ 20: 104 })).toEqual([20])
    expect(setAside({ 20: 96 })).toEqual([20])
    expect(setAside({ 20: 102.9 })).toEqual([])
    expect(setAside({ 20: 104 }, { scale: 0.7 })).toEqual([])
    expect(setAside({ 20: 104.3 }, { scale: 0.7 })).toEqual([20])
  })

  it('are no steps, nor levels that last', () => {
    const step = Object.fromEntries(Array.from({ length: 20 }, (_, k) => [20 + k, 150]))
    expect(setAside(step)).toEqual([])
    expect(setAside({ 20: 150, 21: 150, 22: 150, 23: 150 })).toEqual([])
    // The sample between two levels.
    expect(setAside({ ...step, 19: 125 })).toEqual([])
  })

  it('are a first and a last sample below their neighbours, which average over the edge', () => {
    expect(setAside({ 0: 60, 39: 80 })).toEqual([0, 39])
    expect(setAside({ 0: 99.3, 39: 99.3 })).toEqual([])
    expect(setAside({ 0: 99.2, 39: 99.2 })).toEqual([0, 39])
    expect(setAside({ 0: 140, 39: 140 })).toEqual([])
    // Of instants by 5 % and six noise scales.
    expect(setAside({ 0: 94.9, 39: 94.9 }, { averaged: false })).toEqual([0, 39])
    expect(setAside({ 0: 95.1, 39: 95.1 }, { averaged: false })).toEqual([])
    expect(setAside({ 0: 93.9, 39: 93.9 }, { averaged: false, scale: 1 })).toEqual([0, 39])
    expect(setAside({ 0: 94.1, 39: 94.1 }, { averaged: false, scale: 1 })).toEqual([])
    expect(setAside({ 0: 60, 3: 80 }, { length: 4 })).toEqual([])
    expect(setAside({ 0: 60, 4: 80 }, { length: 5 })).toEqual([0, 4])
  })
})

describe('the noise that pieces leave over', () => {
  const random = randomStream(5)
  const bounds = { least: 0.01, most: 100 }
  const noisy = (scale: number, autocorrelation = 0, samples = 4000) => {
    const run = makeRun({ parts: [[{ samples, levelW: 80, amplitudeW: 20, tauS: 50 }]] })
    let error = 0
    run.series.powerW.forEach((watts, i, powers) => {
      error = autocorrelation * error + Math.sqrt(1 - autocorrelation ** 2) * random.normal()
      powers[i] = watts + scale * error
    })
    return run
  }

  it('is that of the samples about them', () => {
    const { scale, autocorrelation } = residualNoise([noisy(2), noisy(2)], bounds)
    expect(scale / 2).toBeCloseTo(1, 1)
    expect(autocorrelation).toBeLessThan(0.05)
  })

  it('is correlated where neighbours err alike, one standard error more for care', () => {
    const { autocorrelation } = residualNoise([noisy(2, 0.6)], bounds)
    expect(autocorrelation).toBeGreaterThan(0.58)
    expect(autocorrelation).toBeLessThan(0.66)
  })

  it('counts neither spikes nor samples set aside', () => {
    const run = noisy(1)
    for (let i = 100; i < 4000; i += 100) run.series.powerW[i] = 200
    expect(residualNoise([run], bounds).scale).toBeLessThan(1.35)
    run.series.weights.forEach((_, i, weights) => {
      weights[i] = i % 100 === 0 && i > 0 ? 0 : 1
    })
    expect(residualNoise([run], bounds).scale).toBeCloseTo(1, 1)
  })

  it('lies within its bounds, and is the least of few samples', () => {
    expect(residualNoise([noisy(2)], { least: 3, most: 9 }).scale).toBe(3)
    expect(residualNoise([noisy(2)], { least: 0.1, most: 1 }).scale).toBe(1)
    expect(residualNoise([noisy(2, 0, 7)], bounds)).toEqual({ scale: 0.01, autocorrelation: 0 })
    expect(residualNoise([], bounds)).toEqual({ scale: 0.01, autocorrelation: 0 })
  })

  it('is told from blocks of a long log', () => {
    const { scale, autocorrelation } = residualNoise([noisy(2, 0.5, 140_000)], bounds)
    expect(scale / 2).toBeCloseTo(1, 1)
    expect(autocorrelation).toBeCloseTo(0.5, 1)
  })
})

describe('how much the noise of a cut is trusted', () => {
  const bounds = { least: 0.01, most: 100 }
  /** A level run whose samples miss it by these, W. */
  const missing = (residuals: readonly number[]) => {
    const run = makeRun({ parts: [[{ samples: residuals.length, levelW: 80 }]] })
    residuals.forEach((residual, i) => {
      run.series.powerW[i]! += residual
    })
    return run
  }

  it('is no more than four robust deviations of any sample', () => {
    // Ninety miss by 2 W, ten by 50 W, which count as 4 × 1.4826 × 2 W.
    const residuals = Array.from(
      { length: 100 },
      (_, i) => (i % 20 === 5 || i % 20 === 16 ? 50 : 2) * (i % 2 === 0 ? 1 : -1),
    )
    const { scale } = residualNoise([missing(residuals)], bounds)
    expect(scale).toBeCloseTo(2 * Math.sqrt((90 + 10 * 16 * 1.4826 ** 2) / 100), 3)
    const eight = residualNoise([missing([1, -1, 1, -1, 1, -1, 1, -1])], bounds)
    expect(eight.scale).toBeCloseTo(1, 9)
  })

  it('takes correlation for a standard error more than it seems, where there is any', () => {
    const random = randomStream(8)
    const drawn = (count: number, correlation: number) => {
      let error = 0
      return Array.from({ length: count }, () => {
        error = correlation * error + Math.sqrt(1 - correlation ** 2) * random.normal()
        return error
      })
    }
    const told = (residuals: readonly number[]) => {
      const { scale, autocorrelation } = residualNoise([missing(residuals)], bounds)
      return { autocorrelation, estimate: lagOneCorrelation(Float64Array.from(residuals), scale) }
    }
    const correlated = told(drawn(400, 0.5))
    expect(correlated.autocorrelation).toBeCloseTo(
      correlated.estimate + Math.sqrt((1 - correlated.estimate ** 2) / 400),
      9,
    )
    const white = told(drawn(400, 0))
    expect(white.estimate).toBeLessThan(0.1)
    expect(white.autocorrelation).toBeCloseTo(Math.max(0, white.estimate), 9)
    expect(told(drawn(4000, 0.99)).autocorrelation).toBe(0.85)
  })

  it('makes a cut pay for it: noise alone is one part, correlated or not', () => {
    for (const autocorrelation of [0, 0.8]) {
      for (let seed = 1; seed <= 6; seed++) {
        const random = randomStream(seed)
        let error = 0
        const residuals = Array.from({ length: 300 }, () => {
          error = autocorrelation * error + Math.sqrt(1 - autocorrelation ** 2) * random.normal()
          return 5 * error
        })
        const { parts } = cutRun(missing(residuals).series, { scale: 5, autocorrelation }, false)
        expect(parts).toHaveLength(1)
      }
    }
  })
})

describe('a stretch that its samples do not follow', () => {
  it('is one piece: the mean of all samples but its first and last', () => {
    const run = makeRun({ parts: [[{ samples: 3, levelW: 20 }], [{ samples: 4, levelW: 60 }]] })
    run.series.weights[3] = 0
    const { series, pieces, parts } = wholeRun(run)
    expect([...series.weights]).toEqual([0, 1, 1, 1, 1, 1, 0])
    expect(series.powerW).toEqual(run.series.powerW)
    expect(pieces).toHaveLength(1)
    expect(pieces[0]).toMatchObject({ from: 0, to: 7, amplitudeW: 0 })
    expect(pieces[0]!.levelW).toBeCloseTo((2 * 20 + 3 * 60) / 5, 9)
    expect(parts).toEqual([{ from: 0, to: 7, pieces, softS: 0 }])
    expect([...run.series.weights]).toEqual([1, 1, 1, 0, 1, 1, 1])
  })

  it('of two samples counts both', () => {
    const run = makeRun({ parts: [[{ samples: 2, levelW: 20 }]] })
    expect([...wholeRun(run).series.weights]).toEqual([1, 1])
    const three = makeRun({ parts: [[{ samples: 3, levelW: 20 }]] })
    expect([...wholeRun(three).series.weights]).toEqual([0, 1, 0])
  })
})
