import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/numeric/statistics/random.js'
import { cutRoughly, cutRun, residualNoise } from '../../../src/segment/cut/cutRun.js'
import { edgeCost } from '../../../src/segment/cut/edgeCost.js'
import { fitPiece, type Series } from '../../../src/segment/cut/fitPiece.js'
import { refineEdge } from '../../../src/segment/cut/refineEdge.js'

const SCALES = { least: 1e-3, most: 10 }

describe('the noise of a rough cut', () => {
  it('is that of the full cut to a few per cent, and the true one, whatever the power does meanwhile', () => {
    for (const { series, trueScale } of courses()) {
      const guess = { scale: 1.5 * trueScale, autocorrelation: 0 }
      const rough = residualNoise([cutRoughly(series, guess, true)], SCALES)
      const full = residualNoise([cutRun(series, guess, true)], SCALES)
      expect(Math.abs(rough.scale / full.scale - 1)).toBeLessThan(0.08)
      expect(Math.abs(rough.scale / trueScale - 1)).toBeLessThan(0.2)
    }
  })
})

describe('refineEdge', () => {
  it('finds the edge that trying every approach at every edge finds', () => {
    for (let seed = 1; seed <= 10; seed++) {
      const random = seededRandom(seed)
      const [edgeS, softS] = [29.2 + 2 * random.uniform(), 3 * random.uniform()]
      const series = seriesOf(60, (i) => softStep(i, edgeS, softS) + 0.3 * random.normal())
      const [before, after] = [partOf(series, 0, 30), partOf(series, 30, 60)]
      const found = refineEdge(series, before, after, 0.09)
      const costOf = edgeCost(series, { from: 15, to: 45 }, before, after)
      let least = { cost: Number.POSITIVE_INFINITY, edgeS: 0 }
      for (let edge = 26; edge <= 33; edge += 0.02) {
        for (let soft = 0.02; soft < 5; soft *= 1.1) {
          const cost = costOf(edge, soft)
          if (cost < least.cost) least = { cost, edgeS: edge }
        }
      }
      // A tenth of a sample is what the ladder of approaches leaves open.
      expect(Math.abs(found.startS.value - least.edgeS)).toBeLessThan(0.1)
      expect(least.edgeS).toBeGreaterThanOrEqual(found.startS.low)
      expect(least.edgeS).toBeLessThanOrEqual(found.startS.high)
    }
  })
})

/** Courses of power: two steps, a relaxation, and a ramp of many small steps, at three levels of noise. */
function* courses(): Generator<{ readonly series: Series; readonly trueScale: number }> {
  const shapes = [
    (t: number) => (t < 35 ? 100 : t < 120 ? 80 : 61),
    (t: number) => (t < 20 ? 110 : 60 + 35 * Math.exp(-(t - 20) / 90)),
    (t: number) => 90 - 4 * Math.floor(t / 70),
  ]
  for (const trueScale of [0.1, 0.5, 2]) {
    for (const [k, shape] of shapes.entries()) {
      const random = seededRandom(100 * trueScale + k)
      yield { series: seriesOf(600, (i) => shape(i) + trueScale * random.normal()), trueScale }
    }
  }
}

/** Mean over the second before `t` of a step from 100 to 70 W that is approached with a time constant. */
function softStep(t: number, edgeS: number, softS: number): number {
  const steps = Array.from({ length: 50 }, (_, k) => t - 1 + (k + 0.5) / 50)
  const at = (time: number) => (time < edgeS ? 100 : 70 + 30 * Math.exp((edgeS - time) / softS))
  return steps.reduce((sum, time) => sum + at(time), 0) / steps.length
}

function seriesOf(count: number, powerAt: (i: number) => number): Series {
  const timesS = Float64Array.from({ length: count }, (_, i) => i)
  return {
    timesS,
    powerW: timesS.map(powerAt),
    weights: new Uint8Array(timesS.length).fill(1),
    averaged: true,
    closes: true,
  }
}

function partOf(series: Series, from: number, to: number) {
  return { from, to, softS: 0, pieces: [fitPiece(series, from, to, Number.POSITIVE_INFINITY)] }
}
