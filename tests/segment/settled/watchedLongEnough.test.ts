import { describe, expect, it } from 'vitest'
import { watchedLongEnough } from '../../../src/segment/settled/watchedLongEnough.js'
import { draftsOf, stretchesOf } from '../makeRun.js'

// The contract's times: 360 s from the start (120 s where columns prove the cause); after one drop 120 s and as long as what came before; after a
// second one 60 s and half of it; of a fall at rest 60 s and a tenth; three like rounds of a loop at once.

const levels = (...powers: readonly number[]) =>
  draftsOf(
    powers.map(() => 'level'),
    { parts: powers.map((levelW) => [{ samples: 10, levelW }]) },
  )
const times = (watchedS: number, beforeS: number, isProven = false) => ({ watchedS, beforeS, isProven })

describe('a level has been watched long enough', () => {
  it('without a drop after 360 s, or 120 s where the cause is proven', () => {
    expect(watchedLongEnough(levels(100), times(300, 60))).toBe(true)
    expect(watchedLongEnough(levels(100), times(300, 59))).toBe(false)
    expect(watchedLongEnough(levels(100), times(120, 0, true))).toBe(true)
    expect(watchedLongEnough(levels(100), times(119, 0, true))).toBe(false)
    // Steps up are no drops, nor is less than 2 % down.
    expect(watchedLongEnough(levels(80, 100), times(359, 0))).toBe(false)
    expect(watchedLongEnough(levels(100, 98.1), times(359, 0))).toBe(false)
  })

  it('after one drop as long as what came before it, and 120 s', () => {
    expect(watchedLongEnough(levels(100, 97.9), times(120, 30))).toBe(true)
    expect(watchedLongEnough(levels(100, 80), times(119, 30))).toBe(false)
    expect(watchedLongEnough(levels(100, 80), times(200, 200))).toBe(true)
    expect(watchedLongEnough(levels(100, 80), times(199, 200))).toBe(false)
  })

  it('after a second drop half as long as what came before, and 60 s', () => {
    expect(watchedLongEnough(levels(100, 80, 60), times(60, 100))).toBe(true)
    expect(watchedLongEnough(levels(100, 80, 60), times(59, 100))).toBe(false)
    expect(watchedLongEnough(levels(100, 80, 60), times(150, 300))).toBe(true)
    expect(watchedLongEnough(levels(100, 80, 60), times(149, 300))).toBe(false)
    expect(watchedLongEnough(levels(100, 80, 90, 60), times(60, 100))).toBe(true)
    expect(watchedLongEnough(levels(100, 80, 90), times(60, 100))).toBe(false)
  })

  it('after a fall that came to rest 60 s and a tenth of what came before', () => {
    const parts = [[{ samples: 30, levelW: 80, amplitudeW: 20, tauS: 5 }], [{ samples: 10, levelW: 80 }]]
    const rested = draftsOf(['decay', 'level'], { parts })
    expect(watchedLongEnough(rested, times(60, 600))).toBe(true)
    expect(watchedLongEnough(rested, times(59, 100))).toBe(false)
    expect(watchedLongEnough(rested, times(90, 900))).toBe(true)
    expect(watchedLongEnough(rested, times(89, 900))).toBe(false)
  })

  it('after three rounds of a loop', () => {
    const rounds = (count: number) => [
      {
        shape: 'level' as const,
        stretches: Array.from(
          { length: count },
          (_, runIndex) =>
            stretchesOf({ parts: [[{ samples: 10, levelW: 80 }]], startS: 20 * runIndex, runIndex })[0]!,
        ),
      },
    ]
    expect(watchedLongEnough(rounds(3), times(40, 0))).toBe(true)
    expect(watchedLongEnough(rounds(2), times(40, 0))).toBe(false)
  })
})
