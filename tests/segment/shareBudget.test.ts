import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { correlationTime } from '../../src/numeric/statistics/correlationTime.js'
import { studentTQuantile } from '../../src/numeric/statistics/studentT.js'
import type { Load } from '../../src/segment/load.js'
import { shareBudget } from '../../src/segment/shareBudget.js'

describe('shares of a stretch', () => {
  type Parts = { processorW: number[]; graphicsW: number[] }
  const timed = (timesS: number[], powerW: number[], parts: Parts | null) =>
    ({
      timesS: Float64Array.from(timesS),
      powerW: Float64Array.from(powerW),
      intervalS: 1,
      parts: parts && {
        processorW: Float64Array.from(parts.processorW),
        graphicsW: Float64Array.from(parts.graphicsW),
      },
    }) as unknown as Trace
  const loadOf = (...runs: [number, number][]) =>
    ({
      startS: runs[0]![0],
      endS: runs.at(-1)![1],
      runs: runs.map(([startS, endS]) => ({ startS, endS })),
    }) as unknown as Load
  /** Ten samples: 60 W, of which the graphics leave the processor more and more. */
  const TIMES = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]
  const TOTAL = TIMES.map(() => 60)
  const GRAPHICS = [22, 21, 20, 19, 18, 17, 16, 15, 14, 13]
  const PARTS = { graphicsW: GRAPHICS, processorW: GRAPHICS.map((w) => 55 - w) }
  const LOAD = loadOf([0, 10])
  const share = (parts: Partial<Parts> = {}, range = { startS: 0, endS: 10 }, load = LOAD) =>
    shareBudget(timed(TIMES, TOTAL, { ...PARTS, ...parts }), load, range)

  it('are means over time: a sample stands for the interval that ends at it', () => {
    const times = [1, 2, 3, 4, 5, 9, 10, 11, 12, 13]
    const shares = shareBudget(timed(times, TOTAL.with(5, 70), PARTS), loadOf([0, 13]), {
      startS: 0,
      endS: 13,
    })!
    expect(shares.totalW).toBeCloseTo((9 * 60 + 4 * 70) / 13, 9)
    expect(shares.graphicsW.value).toBeCloseTo((175 - 17 + 4 * 17) / 13, 9)
    expect(shares.processorW.value).toBeCloseTo(55 - (175 - 17 + 4 * 17) / 13, 9)
    expect(shares.restW.value).toBeCloseTo((9 * 5 + 4 * 15) / 13, 9)
  })

  it("have Student's intervals, of as many values as count", () => {
    const jitter = GRAPHICS.map((_, i) => 18 + [0.4, -0.3, 0.1, 0.5, -0.6, 0.2, -0.1, -0.4, 0.3, -0.1][i]!)
    const { graphicsW, restW } = share({ graphicsW: jitter, processorW: jitter.map((w) => 55 - w) })!
    const left = jitter.map((w) => w - 18)
    const deviation = Math.sqrt(left.reduce((sum, each) => sum + each ** 2, 0) / 9)
    const effective = 10 / correlationTime(left)
    const half = (studentTQuantile(0.95, effective - 1) * deviation) / Math.sqrt(effective)
    expect(graphicsW.high - graphicsW.value).toBeCloseTo(half, 6)
    expect(graphicsW.value - graphicsW.low).toBeCloseTo(half, 6)
    expect(restW.high - restW.low).toBeCloseTo(0, 9)
  })

  it('that drift all the way count for few values', () => {
    const left = GRAPHICS.map((watts) => watts - 17.5)
    const effective = Math.max(2, 10 / correlationTime(left))
    expect(effective).toBeLessThan(5)
    const deviation = Math.sqrt(left.reduce((sum, each) => sum + each ** 2, 0) / 9)
    const { graphicsW } = share()!
    const half = (studentTQuantile(0.95, effective - 1) * deviation) / Math.sqrt(effective)
    expect(graphicsW.high - graphicsW.value).toBeCloseTo(half, 6)
  })

  it('count samples that lie in the stretch and in a run as a whole, and hold all three powers', () => {
    const meanOf = (values: number[]) => values.reduce((sum, w) => sum + w, 0) / values.length
    expect(share({}, { startS: 3, endS: 8 })!.graphicsW.value).toBeCloseTo(meanOf(GRAPHICS.slice(3, 8)), 9)
    expect(share({}, { startS: 2.5, endS: 8.5 })!.graphicsW.value).toBeCloseTo(
      meanOf(GRAPHICS.slice(3, 8)),
      9,
    )
    const runs = loadOf([0, 3], [6, 10])
    const both = [...GRAPHICS.slice(0, 3), ...GRAPHICS.slice(6)]
    expect(share({}, { startS: 0, endS: 10 }, runs)!.graphicsW.value).toBeCloseTo(meanOf(both), 9)
    const gap = share({ graphicsW: GRAPHICS.with(2, Number.NaN) })!
    expect(gap.graphicsW.value).toBeCloseTo(meanOf(GRAPHICS.toSpliced(2, 1)), 9)
    expect(gap.totalW).toBe(60)
  })

  it('leave out a sample whose interval begins before its run', () => {
    const late = [1, 2, 3, 4, 5, 9, 10, 11, 12, 13]
    const told = shareBudget(timed(late, TOTAL, PARTS), loadOf([0, 5], [8, 13]), { startS: 0, endS: 13 })!
    expect(told.graphicsW.value).toBeCloseTo((175 - 17) / 9, 9)
  })

  it('are not told where one of them is no part of the budget: without it, the other leaves less', () => {
    const part = TIMES.map((_, i) => 30 + 3 * (i % 2))
    const other = TIMES.map((_, i) => 10 + (i % 3))
    const total = part.map((watts) => watts + 20)
    const told = (parts: Parts) => shareBudget(timed(TIMES, total, parts), LOAD, LOAD)
    expect(told({ processorW: part, graphicsW: other })).toBeUndefined()
    expect(told({ processorW: other, graphicsW: part })).toBeUndefined()
    // As both are parts of what is 15 W more.
    const both = part.map((watts, i) => watts + other[i]! + 15)
    expect(shareBudget(timed(TIMES, both, { processorW: part, graphicsW: other }), LOAD, LOAD)).toBeDefined()
  })

  it('are not told by a part that makes up for hardly any of what the other moves', () => {
    const moves = TIMES.map((_, i) => 30 + 3 * (i % 2))
    const hardly = moves.map((watts) => 20 - 0.02 * (watts - 30))
    expect(share({ processorW: moves, graphicsW: hardly })).toBeUndefined()
    expect(share({ processorW: hardly, graphicsW: moves })).toBeUndefined()
  })

  it('are not told by fewer than five samples, nor where there are no parts', () => {
    expect(share({}, { startS: 2, endS: 7 })).toBeDefined()
    expect(share({}, { startS: 2, endS: 6 })).toBeUndefined()
    expect(shareBudget(timed(TIMES, TOTAL, null), LOAD, LOAD)).toBeUndefined()
  })

  it('are not told where parts exceed the budget by more than 3 % in more than one sample of ten', () => {
    const over = (...places: number[]) =>
      share({ processorW: PARTS.processorW.map((w, i) => (places.includes(i) ? 62 - GRAPHICS[i]! : w)) })
    expect(over(4)).toBeDefined()
    expect(over(4, 5)).toBeUndefined()
    const slightly = (sumW: number) => share({ processorW: GRAPHICS.map((w) => sumW - w) })
    expect(slightly(61.7)).toBeDefined()
    expect(slightly(61.9)).toBeUndefined()
  })

  it('are not told where a part moves, and what is left of the budget moves more for it', () => {
    const still = (watts: number) => TIMES.map(() => watts)
    expect(share({ processorW: still(30) })).toBeUndefined()
    expect(share({ graphicsW: still(20) })).toBeUndefined()
    // One that hardly moves may be one or not.
    expect(share({ processorW: still(30), graphicsW: still(20) })).toBeDefined()
    expect(share({ processorW: still(30), graphicsW: TIMES.map((_, i) => 20 + 0.2 * (i % 2)) })).toBeDefined()
    expect(share({ processorW: still(30), graphicsW: TIMES.map((_, i) => 20 + 3 * (i % 2)) })).toBeUndefined()
  })
})
