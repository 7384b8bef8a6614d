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

it('a stretch lasts from the sample before it to its last one', () => {
  const trace = traceOf(Float64Array.of(5, 6, 8, 11), new Float64Array(4))
  const range = (from: number, to: number) => ({ from, to, idleBeforeW: null, idleAfterW: null })
  expect(lengthOf(trace, range(1, 3))).toBe(3)
  expect(lengthOf(trace, range(0, 4))).toBe(6)
  expect(lengthOf(trace, range(0, 1))).toBe(1e-3)
})
