import { describe, expect, it } from 'vitest'
import { lastDecline, wanders } from '../../../src/segment/stages/lastDecline.js'
import { type Course, draftsOf, stretchesOf } from '../makeRun.js'

const level = (samples: number, levelW: number): readonly Course[] => [{ samples, levelW }]

describe('the last fall of the power', () => {
  it('is the step down that led to a stage', () => {
    const drafts = draftsOf(['level', 'level'], { parts: [level(20, 100), level(40, 80)], softS: [0, 1.5] })
    expect(lastDecline(drafts, 1)).toEqual({
      index: 1,
      gradual: false,
      atS: 20,
      fromW: 100,
      toW: 80,
      softS: 1.5,
      untilS: 59,
    })
    expect(lastDecline(drafts, 0)).toBeUndefined()
  })

  it('is an earlier one where power only rose since', () => {
    const parts = [level(20, 100), level(20, 70), level(20, 75)]
    const drafts = draftsOf(['level', 'level', 'level'], { parts })
    expect(lastDecline(drafts, 2)).toMatchObject({ index: 1, fromW: 100, toW: 70, atS: 20, untilS: 40 })
  })

  it('is none where power falls by 2 % or less', () => {
    const falls = (toW: number) =>
      lastDecline(draftsOf(['level', 'level'], { parts: [level(20, 100), level(20, toW)] }), 1)
    expect(falls(98.1)).toBeUndefined()
    expect(falls(97.9)).toBeDefined()
  })

  it('is the decay itself, from what came before it to its end', () => {
    const fall = [{ samples: 41, levelW: 60, amplitudeW: 35, tauS: 10 }]
    const drafts = draftsOf(['level', 'decay'], { parts: [level(20, 100), fall] })
    expect(lastDecline(drafts, 1)).toMatchObject({ gradual: true, index: 1, fromW: 100 })
    expect(lastDecline(drafts, 1)!.toW).toBeCloseTo(60 + 35 * Math.exp(-4), 9)
    expect(lastDecline(draftsOf(['decay'], { parts: [fall] }), 0)).toMatchObject({
      gradual: true,
      fromW: 95,
      softS: 0,
    })
  })

  it('is the decay, not the level within the fall’s own tail: that lies less than 8 % below its end', () => {
    const fall = [{ samples: 41, levelW: 60, amplitudeW: 40, tauS: 10 }]
    const endW = 60 + 40 * Math.exp(-4)
    const stepTo = (share: number) =>
      lastDecline(draftsOf(['decay', 'level'], { parts: [fall, level(40, share * endW)] }), 1)
    expect(stepTo(0.925)).toMatchObject({ index: 0, gradual: true })
    expect(stepTo(0.915)).toMatchObject({ index: 1, gradual: false })
  })

  it('is no decay that ends above what came before', () => {
    const fall = [{ samples: 41, levelW: 110, amplitudeW: 40, tauS: 10 }]
    expect(lastDecline(draftsOf(['level', 'decay'], { parts: [level(20, 100), fall] }), 1)).toBeUndefined()
  })
})

describe('power wanders', () => {
  const wander = (...powers: readonly number[]) =>
    wanders(
      draftsOf(
        powers.map(() => 'level'),
        { parts: powers.map((watts) => level(20, watts)) },
      ),
    )

  it('when it goes down and comes back twice', () => {
    expect(wander(100, 80, 100, 80, 100)).toBe(true)
    expect(wander(100, 80, 100, 80)).toBe(false)
    expect(wander(80, 100, 80, 100)).toBe(false)
    expect(wander(100, 80, 60, 40)).toBe(false)
    expect(wander(40, 60, 80, 100)).toBe(false)
  })

  it('by more than 2 % each time', () => {
    expect(wander(100, 97.9, 100.1, 97.9, 100.1)).toBe(true)
    expect(wander(100, 98.1, 100.2, 98.1, 100.2)).toBe(false)
    expect(wander(100, 97.9, 99.7, 97.5, 99.4)).toBe(false)
  })

  it('not in a loop, whose runs come and go', () => {
    const stretches = [0, 1, 2, 3, 4].flatMap((runIndex) =>
      stretchesOf({ parts: [level(20, runIndex % 2 ? 80 : 100)], startS: 30 * runIndex, runIndex }),
    )
    expect(wanders(stretches.map((stretch) => ({ shape: 'level', stretches: [stretch] })))).toBe(false)
  })
})
