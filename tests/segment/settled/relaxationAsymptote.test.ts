import { describe, expect, it } from 'vitest'
import {
  lastCourse,
  noiseOptions,
  relaxationAsymptote,
  riseStart,
  sectionOf,
} from '../../../src/segment/settled/relaxationAsymptote.js'
import { type Course, type RunOptions, stretchesOf } from '../makeRun.js'

const only = (courses: readonly Course[], more: Partial<RunOptions> = {}) =>
  stretchesOf({ parts: [courses], startS: 100, ...more })[0]!
const fall = (samples: number, fromW: number, levelW: number, tauS: number): Course => ({
  samples,
  levelW,
  amplitudeW: fromW - levelW,
  tauS,
})

describe('the last course of a stretch', () => {
  it('of a fall is its last piece', () => {
    const { sinceS, powerW } = lastCourse(only([fall(30, 120, 100, 8), fall(50, 99, 90, 40)]))
    expect(powerW).toHaveLength(50)
    expect([sinceS[0], sinceS[49], powerW[0]]).toEqual([0, 49, 99])
  })

  it('of a rise is all since it bends upward, without what was flat or fell before', () => {
    const rising = only([
      { samples: 20, levelW: 82 },
      fall(20, 82, 80, 5),
      { samples: 20, levelW: 80 },
      fall(30, 80, 95, 30),
      fall(50, 92, 100, 60),
    ])
    expect(lastCourse(rising).powerW).toHaveLength(80)
    expect(riseStart(rising)).toBe(80)
  })

  it('of a rise begins behind the last fall', () => {
    const rising = only([fall(20, 60, 70, 8), fall(20, 75, 70, 8), fall(60, 71, 100, 30)])
    expect(lastCourse(rising).powerW).toHaveLength(60)
    expect(riseStart(rising)).toBe(71)
  })

  it('of a rise is what has been level at its end: it met a limit on its way', () => {
    const rise = [fall(60, 50, 95, 30), fall(40, 92, 110, 60)]
    expect(lastCourse(only([...rise, { samples: 16, levelW: 100 }])).powerW).toHaveLength(16)
    expect(lastCourse(only([...rise, { samples: 7, levelW: 100 }])).powerW).toHaveLength(107)
  })

  it('begins where the approach that opens the stretch is over', () => {
    const [, second] = stretchesOf({
      parts: [[{ samples: 10, levelW: 130 }], [fall(60, 100, 90, 40)]],
      softS: [0, 2],
    })
    expect(lastCourse(second!).powerW).toHaveLength(50)
  })
})

describe('a section', () => {
  it('counts its seconds from its first sample', () => {
    const { sinceS, powerW, weights } = sectionOf(only([{ samples: 10, levelW: 80 }]), 7)
    expect(Array.from(sinceS)).toEqual([0, 1, 2])
    expect(Array.from(powerW)).toEqual([80, 80, 80])
    expect(Array.from(weights)).toEqual([1, 1, 1])
  })

  it('has samples set aside, unless they all were', () => {
    const stretch = only([{ samples: 10, levelW: 80 }])
    stretch.run.series.weights.fill(0, 8)
    expect(Array.from(sectionOf(stretch, 7).weights)).toEqual([1, 0, 0])
    expect(Array.from(sectionOf(stretch, 8).weights)).toEqual([1, 1])
  })
})

it('noise counts by its variance, and correlation by (1 + p) / (1 - p)', () => {
  expect(noiseOptions({ scale: 3, autocorrelation: 0.5 })).toEqual({ noiseVariance: 9, correlationFactor: 3 })
})

describe('where a fall tends to', () => {
  const noise = { scale: 0.5, autocorrelation: 0 }

  it('is found with its time constant', () => {
    const { towardW, tauS } = relaxationAsymptote(only([fall(200, 120, 80, 40)]), noise)
    expect(towardW.value).toBeCloseTo(80, 0)
    expect(towardW.low).toBeLessThan(80)
    expect(towardW.high).toBeGreaterThan(80)
    expect(Math.abs(Math.log(tauS.value / 40))).toBeLessThan(0.1)
  })

  it('is no steadier than the air: 0.15 % of it', () => {
    const { towardW } = relaxationAsymptote(only([fall(2000, 120, 80, 40)]), {
      scale: 0.1,
      autocorrelation: 0,
    })
    expect(towardW.high - towardW.low).toBeGreaterThan(2 * 1.645 * 0.0015 * 80 * 0.98)
    expect(towardW.high - towardW.low).toBeLessThan(2 * 1.645 * 0.0015 * 80 * 1.3)
  })

  it('is no less than 40 % of where it ended', () => {
    // A straight fall, which says nothing of its end.
    const line = only([fall(60, 100, -900, 1500)])
    expect(relaxationAsymptote(line, noise).towardW.low).toBeGreaterThan(0.36 * 61)
  })

  it('is, of a rise, no more than what the machine was held at before', () => {
    const rise = only([fall(60, 60, 200, 100)])
    const free = relaxationAsymptote(rise, noise).towardW
    const { value, high } = relaxationAsymptote(rise, noise, 130).towardW
    expect(free.high).toBeGreaterThan(150)
    expect(value).toBeLessThan(130)
    expect(high).toBeLessThan(135)
  })
})
