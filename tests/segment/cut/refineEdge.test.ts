import { describe, expect, it } from 'vitest'
import type { CutRun } from '../../../src/segment/cut/cutRun.js'
import { edgeCost } from '../../../src/segment/cut/edgeCost.js'
import { refineEdge } from '../../../src/segment/cut/refineEdge.js'
import { type Course, makeRun } from '../makeRun.js'

const Z = 1.644854

/** A step from 100 to 80 W at a time, with an approach; samples are means over the second that ends at them, or instants. */
function step(edgeS: number, softS = 0, averaged = true): CutRun {
  const run = makeRun({ parts: [[{ samples: 30, levelW: 100 }], [{ samples: 30, levelW: 80 }]] })
  const { timesS, powerW } = run.series
  const left = (s: number) => (s <= edgeS ? 1 : softS > 0 ? Math.exp((edgeS - s) / softS) : 0)
  timesS.forEach((s, i) => {
    const parts = averaged ? Array.from({ length: 400 }, (_, k) => left(s - (k + 0.5) / 400)) : [left(s)]
    powerW[i] = 80 + (20 * parts.reduce((sum, value) => sum + value, 0)) / parts.length
  })
  return { ...run, series: { ...run.series, averaged } }
}

const refine = ({ series, parts }: CutRun, variance = 0.01) =>
  refineEdge(series, parts[0]!, parts[1]!, variance)

describe('an edge', () => {
  it('is found by what its in-between sample holds of either level', () => {
    for (const edgeS of [28.9, 29.3, 29.75]) {
      const { startS, softS, fromW } = refine(step(edgeS), 0.25)
      // A sharp edge and one of 0.2 s a little earlier leave the same sample in between.
      expect(Math.abs(startS.value - edgeS)).toBeLessThan(0.25)
      expect(softS).toBeLessThanOrEqual(0.3)
      expect(startS.low).toBeLessThanOrEqual(edgeS)
      expect(startS.high).toBeGreaterThanOrEqual(edgeS)
      expect(fromW).toBe(100)
      // No surer than 6 % of a sampling interval.
      expect(startS.high - startS.value).toBeGreaterThanOrEqual(Z * 0.06 - 1e-6)
      expect(startS.value - startS.low).toBeGreaterThanOrEqual(Z * 0.06 - 1e-6)
      expect(startS.high - startS.low).toBeLessThan(0.6)
      expect(startS.level).toBe(0.9)
    }
  })

  it('lies anywhere between two instants', () => {
    const { startS } = refine(step(29.3, 0, false))
    expect(Math.abs(startS.value - 29.5)).toBeLessThan(0.15)
    expect(Math.abs(startS.low - 29.05)).toBeLessThan(0.15)
    expect(Math.abs(startS.high - 29.95)).toBeLessThan(0.15)
  })

  it('is soft where a controller brings the power down', () => {
    for (const softS of [0.8, 2]) {
      const found = refine(step(29.3, softS))
      expect(Math.abs(found.softS / softS - 1)).toBeLessThan(0.15)
      expect(Math.abs(found.startS.value - 29.3)).toBeLessThan(0.15)
    }
  })

  it('is known the less, the noisier its samples', () => {
    const width = (variance: number) => {
      const { low, high } = refine(step(29.3), variance).startS
      return high - low
    }
    expect(width(4)).toBeGreaterThan(2 * width(0.01))
  })

  it('at which a rise begins without a step is known to a tenth of its time constant and a sample', () => {
    const flat: Course = { samples: 30, levelW: 80 }
    const { series, parts } = makeRun({
      parts: [[flat], [{ samples: 200, levelW: 110, amplitudeW: -30, tauS: 60 }]],
    })
    const { startS, softS, fromW } = refineEdge(series, parts[0]!, parts[1]!, 0.01)
    expect([startS.value, softS, fromW]).toEqual([29, 0, 80])
    expect(startS.high - 29).toBeCloseTo(Z * Math.hypot(6, 1), 4)
    expect(29 - startS.low).toBeCloseTo(Z * Math.hypot(6, 1), 4)
  })
})

describe('samples that tell of an edge', () => {
  /** The same with 500 W wherever a sample is not to count. */
  const spoilt = (run: CutRun, tells: (i: number) => boolean): CutRun => {
    const powerW = run.series.powerW.map((w, i) => (tells(i) ? w : 500))
    return { ...run, series: { ...run.series, powerW } }
  }
  const stretched = (run: CutRun, times: number): CutRun => {
    return { ...run, series: { ...run.series, timesS: run.series.timesS.map((s) => times * s) } }
  }

  it('lie within 15 s of it, or are the eight next to it', () => {
    const near = refine(step(29.3))
    expect(refine(spoilt(step(29.3), (i) => i >= 15 && i < 45))).toEqual(near)
    for (const i of [15, 44]) expect(refine(spoilt(step(29.3), (k) => k !== i))).not.toEqual(near)
    const seldom = stretched(step(29.3), 10)
    expect(refine(spoilt(seldom, (i) => i >= 22 && i < 38))).toEqual(refine(seldom))
    for (const i of [22, 37]) expect(refine(spoilt(seldom, (k) => k !== i))).not.toEqual(refine(seldom))
  })

  it('belong to the two parts beside it', () => {
    const run = step(29.3)
    const [before, after] = run.parts
    const inner = {
      ...run,
      parts: [
        { ...before!, from: 25 },
        { ...after!, to: 36 },
      ],
    }
    const tells = (i: number) => i >= 25 && i < 36
    expect(refine(spoilt(inner, tells))).toEqual(refine(inner))
    for (const i of [25, 35]) expect(refine(spoilt(inner, (k) => k !== i))).not.toEqual(refine(inner))
  })

  /** A fall to a relaxation of 40 s at 24.3 s, which the cut has put at 29 s; with an approach, or none. */
  const slow = (softS: number) => {
    const run = makeRun({
      parts: [[{ samples: 30, levelW: 100 }], [{ samples: 90, levelW: 60, amplitudeW: 20, tauS: 40 }]],
    })
    const { timesS, powerW } = run.series
    // What the piece says at its own samples, and goes on to say before them.
    const courseAt = (s: number) => 60 + 20 * Math.exp((30 - s) / 40)
    const at = (s: number) => {
      if (s <= 24.3) return 100
      const left = softS > 0 ? Math.exp((24.3 - s) / softS) : 0
      return left * 100 + (1 - left) * courseAt(s)
    }
    timesS.forEach((s, i) => {
      powerW[i] = Array.from({ length: 50 }, (_, k) => at(s - (k + 0.5) / 50)).reduce((a, b) => a + b, 0) / 50
    })
    return refine(run)
  }

  it('are also those before it beside a slow relaxation, which may have begun a third of its time constant sooner', () => {
    const { startS } = slow(0)
    expect(Math.abs(startS.value - 24.3)).toBeLessThan(0.25)
    // Beside a level an edge lies within four samples.
    const run = step(24.3)
    expect(refine(run).startS.value).toBeGreaterThan(25.5)
  })

  it('show no approach of more than 1.4 s there', () => {
    expect(Math.abs(slow(0.8).softS / 0.8 - 1)).toBeLessThan(0.25)
    expect(slow(3).softS).toBeLessThanOrEqual(1.4)
    expect(slow(3).softS).toBeGreaterThan(1)
    expect(refine(step(29.3, 3)).softS).toBeGreaterThan(2.4)
  })
})

describe('what an edge costs', () => {
  /** Least squares of two levels on the shares of the earlier course, by loops over the samples. */
  function direct({ series }: CutRun, from: number, to: number, edgeS: number, softS: number): number {
    const rows = Array.from({ length: to - from }, (_, k) => {
      const s = series.timesS[from + k]!
      const left = (t: number) => (t <= edgeS ? 1 : Math.exp((edgeS - t) / softS))
      const parts = series.averaged
        ? Array.from({ length: 500 }, (_, j) => left(s - (j + 0.5) / 500))
        : [left(s)]
      const f = parts.reduce((sum, value) => sum + value, 0) / parts.length
      return { f, g: 1 - f, y: series.powerW[from + k]!, w: series.weights[from + k]! }
    })
    const total = (read: (row: (typeof rows)[number]) => number) =>
      rows.reduce((sum, row) => sum + row.w * read(row), 0)
    const [ff, fg, gg] = [total(({ f }) => f * f), total(({ f, g }) => f * g), total(({ g }) => g * g)]
    const [fy, gy] = [total(({ f, y }) => f * y), total(({ g, y }) => g * y)]
    const det = ff * gg - fg * fg
    const [a, b] = [(fy * gg - gy * fg) / det, (gy * ff - fy * fg) / det]
    return total(({ f, g, y }) => (y - a * f - b * g) ** 2)
  }

  it.each([true, false])('is the least sum of squares of two levels (means: %s)', (averaged) => {
    const run = step(29.3, 1.2, averaged)
    // One before the edge and one beside it are set aside.
    for (const i of [27, 31]) {
      run.series.weights[i] = 0
      run.series.powerW[i] = 300
    }
    const [before, after] = run.parts
    const costOf = edgeCost(run.series, { from: 15, to: 45 }, before!, after!)
    for (const [edgeS, softS] of [
      [28.2, 0.4],
      [29.3, 1.2],
      [30.6, 2.5],
      [29, 0.02],
    ] as const)
      expect(costOf(edgeS, softS)).toBeCloseTo(direct(run, 15, 45, edgeS, softS), 1)
    expect(costOf(29.3, 1.2)).toBeLessThan(0.01)
  })

  it('is infinite where one of the levels has no sample', () => {
    const run = step(29.3)
    const costOf = edgeCost(run.series, { from: 15, to: 45 }, run.parts[0]!, run.parts[1]!)
    expect(costOf(60, 0.02)).toBe(Number.POSITIVE_INFINITY)
  })

  it('takes the course of a slow relaxation with it', () => {
    const { series, parts } = makeRun({
      parts: [[{ samples: 30, levelW: 100 }], [{ samples: 60, levelW: 70, amplitudeW: 15, tauS: 20 }]],
    })
    // Means of the course: the sample at 30 s begins with the drop at 29 s.
    const next = parts[1]!.pieces[0]!
    const course = (s: number) => 70 + 15 * Math.exp((30 - s) / 20)
    for (let i = next.from; i < next.to; i++) series.powerW[i] = course(series.timesS[i]! - 0.5)
    const costOf = edgeCost(series, { from: 10, to: 80 }, parts[0]!, parts[1]!)
    expect(costOf(29, 0.02)).toBeLessThan(0.2)
    expect(costOf(28, 0.02)).toBeGreaterThan(10)
    expect(costOf(30, 0.02)).toBeGreaterThan(10)
    // A later drop, at 29.6 s: of the sample that holds it, the rest is of the course.
    series.powerW[30] = 0.6 * 100 + 0.4 * (70 + 15 * Math.exp(0.2 / 20))
    expect(costOf(29.6, 0.02)).toBeLessThan(0.2)
  })

  it('is the same whether or not a fast approach was fitted: it is the edge’s own softness', () => {
    const run = step(29.3, 2)
    const [before, after] = run.parts
    const fast = { ...after!, pieces: [{ ...after!.pieces[0]!, amplitudeW: 10, tauS: 2 }] }
    const costs = [after!, fast].map((part) =>
      edgeCost(run.series, { from: 15, to: 45 }, before!, part)(29.3, 2),
    )
    expect(costs[0]).toBeLessThan(0.01)
    expect(costs[1]).toBe(costs[0])
  })

  it('counts intervals of any length', () => {
    const run = step(29.3, 1.2)
    const slower = { ...run.series, timesS: run.series.timesS.map((s) => 3 * s) }
    const cost = (series: CutRun['series'], edgeS: number, softS: number) =>
      edgeCost(series, { from: 15, to: 45 }, run.parts[0]!, run.parts[1]!)(edgeS, softS)
    expect(cost(slower, 3 * 29, 3 * 0.8)).toBeCloseTo(cost(run.series, 29, 0.8), 6)
  })
})
