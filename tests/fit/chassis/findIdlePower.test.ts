import { describe, expect, it } from 'vitest'
import { findIdlePower } from '../../../src/fit/chassis/findIdlePower.js'
import { traceOf } from '../../segment/makeSteps.js'

/** A load from 200 to 300 s with a pause from 240 to 260 s, a second apart; power outside of its runs as told. */
function idle(powerAt: (timeS: number) => number, workW = 100) {
  const runs = [
    { startS: 200, endS: 240 },
    { startS: 260, endS: 300 },
  ]
  const timesS = Float64Array.from({ length: 500 }, (_, i) => i)
  const works = (s: number) => runs.some(({ startS, endS }) => s > startS && s <= endS)
  const powerW = timesS.map((s) => (works(s) ? workW : powerAt(s)))
  return findIdlePower(traceOf(timesS, powerW), { startS: 200, endS: 300, runs } as never)
}

describe('idle power', () => {
  it('is the median beside a load', () => {
    expect(idle(() => 7)).toBe(7)
  })

  it('is seen two minutes before it, half a minute after it and in its pauses, clear of their edges', () => {
    const only = (isSeen: (s: number) => boolean) => idle((s) => (isSeen(s) ? 7 : 60))
    expect(only((s) => s >= 81 && s <= 83)).toBe(7)
    expect(only((s) => s >= 78 && s <= 82)).toBeUndefined()
    expect(only((s) => s >= 195 && s < 200)).toBe(7)
    expect(only((s) => s >= 327 && s < 330)).toBe(7)
    expect(only((s) => s >= 328)).toBeUndefined()
    expect(only((s) => s >= 242 && s <= 259)).toBe(7)
    // A sample before a run and two after one may hold some of its work.
    expect(only((s) => s >= 242 && s <= 244)).toBe(7)
    expect(only((s) => s >= 241 && s <= 243)).toBeUndefined()
    expect(only((s) => s >= 257 && s <= 259)).toBe(7)
    expect(only((s) => s >= 258 && s <= 260)).toBeUndefined()
    expect(only((s) => s >= 301 && s <= 303)).toBeUndefined()
  })

  it('is below half of what the work draws', () => {
    expect(idle(() => 49)).toBe(49)
    expect(idle(() => 50)).toBeUndefined()
  })
})
