import { describe, expect, it } from 'vitest'
import { lengthOf, roundComparer } from '../../../src/segment/loads/roundLikeness.js'
import { traceOf } from '../makeSteps.js'

/** Compares stretches of a log with a sample a second; power at each second as told, idle 10 W beside it. */
function compared(
  powerAt: (timeS: number) => number,
  a: readonly [number, number],
  b: readonly [number, number],
) {
  const timesS = Float64Array.from({ length: 300 }, (_, i) => i)
  const range = ([from, to]: readonly [number, number]) => ({ from, to, idleBeforeW: 10, idleAfterW: 10 })
  return roundComparer(traceOf(timesS, timesS.map(powerAt)))(range(a), range(b))
}

describe('how two rounds differ', () => {
  it('is nothing where they are alike', () => {
    const like = compared((s) => (s <= 48 ? 100 : 50 + (s % 100)), [101, 149], [201, 249])
    expect(like.length).toBeCloseTo(0, 12)
    expect(like.stretched).toBeCloseTo(0, 12)
    expect(like.clocked).toBeCloseTo(0, 12)
    expect(like.power).toBeCloseTo(1, 12)
  })

  it('is their length as a logarithm, and their power as a ratio, earlier over later', () => {
    const { length, power } = compared((s) => (s < 150 ? 100 : 80), [10, 58], [200, 296])
    expect(length).toBeCloseTo(Math.log(2), 12)
    expect(power).toBeCloseTo(1.25, 12)
  })

  it('is the mean distance of their courses over their power above idle', () => {
    // 100 and 80 W, 90 W on average, 80 W above idle.
    expect(compared((s) => (s < 150 ? 100 : 80), [10, 58], [200, 248])).toMatchObject({
      stretched: expect.closeTo(20 / 80, 9),
      clocked: expect.closeTo(20 / 80, 9),
    })
  })

  it('is seen by shares of their time, and by the clock', () => {
    // Both fall from 100 to 60 W half-way, the second after twice the time.
    const power = (s: number) => (s < 100 ? (s < 25 ? 100 : 60) : s < 149 ? 100 : 60)
    const { stretched, clocked } = compared(power, [1, 49], [101, 197])
    expect(stretched).toBeCloseTo(0, 9)
    // By the clock the second stays at 100 W for all of the first's 48 s: 40 W apart for half of it, 90 - 10 W above idle.
    expect(clocked).toBeCloseTo(20 / 80, 9)
  })
})

describe('what of it is a rise', () => {
  it('is how far the later one lies above the earlier one', () => {
    // 80 and 100 W, 90 W on average, 80 W above idle.
    expect(compared((s) => (s < 150 ? 80 : 100), [10, 58], [200, 248]).risen).toBeCloseTo(20 / 80, 9)
    expect(compared((s) => (s < 150 ? 100 : 80), [10, 58], [200, 248]).risen).toBe(0)
    // Half of the time 20 W above, half 20 W below.
    const crossed = compared((s) => (s < 150 ? 90 : s < 224 ? 110 : 70), [10, 58], [200, 248])
    expect(crossed).toMatchObject({
      stretched: expect.closeTo(20 / 80, 9),
      risen: expect.closeTo(10 / 80, 9),
    })
  })

  it('is none of two that only fall, where the later one stays up for longer', () => {
    // Both come down from 100 to 60 W; the first after 24 of 48 s, the other after the time told.
    const stays = (upS: number, upW = 100, lastW = 60) =>
      compared(
        (s) => (s < 100 ? (s <= 24 ? 100 : 60) : s <= 200 + upS ? upW : s < 240 ? 60 : lastW),
        [1, 49],
        [201, 249],
      )
    expect(stays(36).stretched).toBeGreaterThan(0.1)
    expect(stays(36).risen).toBe(0)
    expect(stays(36, 102).risen).toBe(0)
    expect(stays(36, 104).risen).toBeGreaterThan(0.1)
    // One that comes up again rises.
    expect(stays(36, 100, 70).risen).toBeGreaterThan(0.1)
  })

  it('is seen in the alignment in which they are nearer', () => {
    // Stretched they are alike; by the clock the later one stays up for longer.
    const power = (s: number) => (s < 100 ? (s < 25 ? 100 : 60) : s < 149 ? 100 : 60)
    expect(compared(power, [1, 49], [101, 197]).risen).toBeCloseTo(0, 9)
    // By the clock they are alike for the earlier one's time; stretched the later one's rise lies on its fall.
    const begun = (s: number) => (s < 100 ? (s < 25 ? 60 : 100) : s < 125 ? 60 : 100)
    const { clocked, stretched, risen } = compared(begun, [1, 49], [101, 197])
    expect(clocked).toBeCloseTo(0, 9)
    expect(stretched).toBeGreaterThan(0.1)
    expect(risen).toBeCloseTo(0, 9)
  })
})

it('the higher of the idle powers between them counts', () => {
  const timesS = Float64Array.from({ length: 300 }, (_, i) => 2 * i)
  const compare = roundComparer(
    traceOf(
      timesS,
      timesS.map((s) => (s < 300 ? 100 : 80)),
    ),
  )
  const of = (from: number, to: number, idleBeforeW: number | null, idleAfterW: number | null) => ({
    from,
    to,
    idleBeforeW,
    idleAfterW,
  })
  const apart = (afterW: number | null, beforeW: number | null) =>
    compare(of(10, 58, 0, afterW), of(200, 248, beforeW, 0)).stretched
  expect(apart(30, 10)).toBeCloseTo(20 / 60, 9)
  expect(apart(10, 30)).toBeCloseTo(20 / 60, 9)
  expect(apart(null, null)).toBeCloseTo(20 / 90, 9)
  // From the first sample of the log to its last.
  expect(compare(of(0, 58, null, 0), of(200, 300, 0, null)).power).toBeCloseTo(1.25, 1)
})

it('a stretch lasts from the sample before it to its last one', () => {
  const trace = traceOf(Float64Array.of(5, 6, 8, 11), new Float64Array(4))
  const range = (from: number, to: number) => ({ from, to, idleBeforeW: null, idleAfterW: null })
  expect(lengthOf(trace, range(1, 3))).toBe(3)
  expect(lengthOf(trace, range(0, 4))).toBe(6)
  expect(lengthOf(trace, range(0, 1))).toBe(1e-3)
})
