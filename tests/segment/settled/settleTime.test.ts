import { describe, expect, it } from 'vitest'
import { settleTime } from '../../../src/segment/settled/settleTime.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { type Course, draftsOf, stretchesOf } from '../makeRun.js'

const Z = 1.644854
const quiet = { scale: 0, autocorrelation: 0 }
const exactly = (value: number) => ({ value, low: value, high: value, level: 0.9 })
const settle = (last: DraftStage, level = exactly(80), noise = quiet, loadStartS = 0) =>
  settleTime(last, level, { noise, loadStartS })

const decay = (course: Course): DraftStage => draftsOf(['decay'], { parts: [[course]] })[0]!

describe('power has settled', () => {
  it('once a controller’s approach is within 2 %: softness × ln(step / 2 %) after the edge', () => {
    const parts = [[{ samples: 20, levelW: 100 }], [{ samples: 100, levelW: 80 }]]
    const last = draftsOf(['level', 'level'], { parts, softS: [0, 2] })[1]!
    const { fromS, settleAfterS } = settle(last, exactly(80), quiet, 5)
    const approachS = 2 * Math.log(20 / 1.6)
    expect(fromS).toBeCloseTo(20 + approachS, 9)
    expect(settleAfterS.value).toBeCloseTo(15 + approachS, 9)
    // The approach is known to 15 %, a crossing to a quarter of a sample.
    const slackS = Z * Math.hypot(0.15 * approachS, 0.25)
    expect(settleAfterS.low).toBeCloseTo(15 + approachS - slackS, 4)
    expect(settleAfterS.high).toBeCloseTo(15 + approachS + slackS, 4)
    expect(settleAfterS.level).toBe(0.9)
  })

  it('at the edge where that is sharp or its step is within 2 %', () => {
    const step = (fromW: number, softS: number) => {
      const parts = [[{ samples: 20, levelW: fromW }], [{ samples: 100, levelW: 80 }]]
      return settle(draftsOf(['level', 'level'], { parts, softS: [0, softS] })[1]!).fromS
    }
    expect(step(100, 0)).toBe(20)
    expect(step(81, 3)).toBe(20)
    expect(step(60, 2)).toBeCloseTo(20 + 2 * Math.log(20 / 1.6), 9)
  })

  it('carries what the edge is off by', () => {
    const parts = [[{ samples: 20, levelW: 100 }], [{ samples: 100, levelW: 80 }]]
    const stretch = draftsOf(['level', 'level'], { parts })[1]!.stretches[0]!
    const edge = { ...stretch.edge!, startS: { value: 20, low: 17, high: 23, level: 0.9 } }
    const { settleAfterS } = settle({ shape: 'level', stretches: [{ ...stretch, edge }] })
    expect(settleAfterS.high).toBeCloseTo(20 + Math.hypot(3, Z * 0.25), 4)
  })

  it('after the last sample that lies outside of 2 %', () => {
    // 20 exp(-t / 20) is 1.6 W after 20 ln 12.5 = 50.5 s.
    const { fromS, settleAfterS } = settle(decay({ samples: 200, levelW: 80, amplitudeW: 20, tauS: 20 }))
    expect(fromS).toBe(50)
    expect(settleAfterS.high).toBeCloseTo(50 + Z * Math.hypot(0.06 * 50, 0.25), 4)
    expect(settleAfterS.low).toBeCloseTo(50 - Z * Math.hypot(0.06 * 50, 0.25), 4)
  })

  it('to a quarter of its own sampling interval', () => {
    const options = {
      parts: [[{ samples: 200, levelW: 80, amplitudeW: 20, tauS: 20 }]],
      everyS: 3,
      startS: 600,
    }
    const { fromS, settleAfterS } = settle(draftsOf(['decay'], options)[0]!, exactly(80), quiet, 600)
    expect(fromS).toBe(648)
    expect(settleAfterS.high).toBeCloseTo(48 + Z * Math.hypot(0.06 * 48, 0.75), 4)
  })

  it('of a rise likewise, and counts from the load’s start', () => {
    const rise = decay({ samples: 200, levelW: 80, amplitudeW: -20, tauS: 20 })
    expect(settle(rise).fromS).toBe(50)
    expect(settle(rise, exactly(80), quiet, 30).settleAfterS.value).toBe(20)
    expect(settle(rise, exactly(80), quiet, 60).settleAfterS.value).toBe(0)
  })

  it('with an interval that holds what the level’s interval and noise move it by, up to half of the 2 %', () => {
    const courses = [{ samples: 200, levelW: 80, amplitudeW: 20, tauS: 20 }]
    const last = draftsOf(['decay'], { parts: [courses], startS: 600 })[0]!
    const slackS = Z * Math.hypot(0.06 * 50, 0.25)
    /** Last whole second outside of 2 % about a level that is off by so much. */
    const outside = (offW: number) => Math.floor(20 * Math.log(20 / (0.02 * (80 + offW) + offW)))
    const within = (halfW: number, scale: number) =>
      settle(
        last,
        { value: 80, low: 80 - halfW, high: 80 + halfW, level: 0.9 },
        { scale, autocorrelation: 0 },
        600,
      ).settleAfterS
    const off = (halfW: number) => [outside(halfW) - slackS, outside(-halfW) + slackS] as const
    const check = ({ low, high }: { low: number; high: number }, halfW: number) => {
      expect(low).toBeCloseTo(off(halfW)[0], 4)
      expect(high).toBeCloseTo(off(halfW)[1], 4)
    }
    check(within(0.4, 0), 0.4)
    // 30 samples lie within 15 s of it, three tenths of its 50 s.
    check(within(0, 0.9), Z * 0.9 * Math.sqrt(1 / 30))
    check(within(0.3, 0.9), Math.hypot(0.3, Z * 0.9 * Math.sqrt(1 / 30)))
    check(within(5, 0), 0.8)
  })

  it('after the last piece that lies outside', () => {
    const steps = [
      { samples: 10, levelW: 90 },
      { samples: 10, levelW: 85 },
      { samples: 30, levelW: 80.5 },
      { samples: 30, levelW: 80 },
    ]
    expect(settle(draftsOf(['decay'], { parts: [steps] })[0]!).fromS).toBe(19)
    const again = [
      { samples: 10, levelW: 90 },
      { samples: 30, levelW: 80 },
      { samples: 5, levelW: 85 },
      { samples: 35, levelW: 80 },
    ]
    expect(settle(draftsOf(['decay'], { parts: [again] })[0]!).fromS).toBe(44)
  })

  it('of a loop after the last run that ends outside, however its runs open', () => {
    const ends = [84, 83, 81, 80]
    const stretches = ends.flatMap((levelW, runIndex) =>
      stretchesOf({
        parts: [[{ samples: 41, levelW, amplitudeW: 30, tauS: 4.6 }]],
        startS: 60 * runIndex,
        runIndex,
      }),
    )
    // The second run's last sample.
    expect(settle({ shape: 'decay', stretches }).fromS).toBe(100)
  })

  it('of a loop at a level by what the last third of each run draws, not by a bend at its end', () => {
    const looped = (ends: readonly { readonly samples: number; readonly levelW: number }[]) =>
      ends.flatMap(({ samples, levelW }, runIndex) =>
        stretchesOf({
          parts: [
            [
              { samples: 42 - samples, levelW: 80 },
              { samples, levelW },
            ],
          ],
          startS: 60 * runIndex,
          runIndex,
        }),
      )
    const steady = { samples: 3, levelW: 80 }
    const fromS = (end: { readonly samples: number; readonly levelW: number }) =>
      settle({ shape: 'level', stretches: looped([steady, end, steady, steady]) }).fromS
    expect(fromS({ samples: 3, levelW: 84 })).toBe(0)
    // The second run's last sample.
    expect(fromS({ samples: 14, levelW: 84 })).toBe(101)
  })

  it('where the level is next to nothing, its interval reaching below zero', () => {
    const last = decay({ samples: 50, levelW: 0, amplitudeW: 0 })
    const { value, low, high } = settle(last, { value: 0, low: -1, high: 1, level: 0.9 }).settleAfterS
    expect([value, low, high].every(Number.isFinite)).toBe(true)
    expect(low).toBeLessThanOrEqual(value)
    expect(high).toBeGreaterThanOrEqual(value)
  })
})
