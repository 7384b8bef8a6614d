import { describe, expect, it } from 'vitest'
import type { Sustained } from '../../../src/segment/load.js'
import { isSteadyLate, withLateCourse } from '../../../src/segment/settled/lateCourse.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { draftsOf, stretchesOf } from '../makeRun.js'

const quiet = { scale: 0, autocorrelation: 0 }

/** 401 samples, one a second, of one stage that follows a course; its window is the last quarter, from 300 s. */
function stage(shape: DraftStage['shape'], powerAt: (timeS: number) => number, samples = 401): DraftStage {
  const [draft] = draftsOf([shape], { parts: [[{ samples, levelW: 0 }]] })
  draft!.stretches[0]!.run.series.powerW.forEach((_, i, powers) => {
    powers[i] = powerAt(i)
  })
  return draft!
}

function settled(value: number, low: number, high: number): Sustained {
  const at = { value: 10, low: 9, high: 11, level: 0.9 }
  return {
    reached: true,
    levelW: { value, low, high, level: 0.9 },
    fromS: 10,
    settleAfterS: at,
    bounds: null,
  }
}

describe('a settled level', () => {
  it('lies within the late samples, give or take 0.3 %', () => {
    const drafts = [stage('level', () => 80)]
    const above = withLateCourse(settled(85, 84, 86), drafts, quiet, 0).levelW
    expect(above.value).toBeCloseTo(80.24, 9)
    expect(above.low).toBeCloseTo(79.76, 9)
    expect(above.high).toBe(86)
    const below = withLateCourse(settled(75, 74, 76), drafts, quiet, 0).levelW
    expect(below.value).toBeCloseTo(79.76, 9)
    expect(below.low).toBe(74)
    expect(below.high).toBeCloseTo(80.24, 9)
    expect(withLateCourse(settled(75, 74, 90), drafts, quiet, 0).levelW.high).toBe(90)
    expect(withLateCourse(settled(85, 70, 86), drafts, quiet, 0).levelW.low).toBe(70)
    expect(withLateCourse(settled(80.2, 79, 81), drafts, quiet, 0)).toEqual(settled(80.2, 79, 81))
    expect(withLateCourse(settled(79.8, 79, 81), drafts, quiet, 0)).toEqual(settled(79.8, 79, 81))
  })

  it('lies between what the late blocks show, and their error beside that', () => {
    // Six blocks of 16 and 17 samples: 82 W until 350 s, 80 W then. Error of one: 0.4 W × sqrt(3 / 16).
    const drafts = [stage('level', (timeS) => (timeS < 350 ? 82 : 80))]
    const noise = { scale: 0.4, autocorrelation: 0.5 }
    const errorW = 0.4 * Math.sqrt(3 / 16)
    expect(withLateCourse(settled(85, 84, 86), drafts, noise, 0).levelW.value).toBeCloseTo(
      82 * 1.003 + errorW,
      9,
    )
    expect(withLateCourse(settled(75, 74, 76), drafts, noise, 0).levelW.value).toBeCloseTo(
      80 - 82 * 0.003 - errorW,
      9,
    )
  })

  it('is not reached by power that gave way and still moves: half as much again is to come, 0 to 1.5 times', () => {
    // Means of the first and last block: at 308.5 s and at 392 s.
    const drafts = [stage('decay', (timeS) => 120 - 0.1 * timeS)]
    const { reached, levelW, fromS, settleAfterS } = withLateCourse(settled(80, 79, 81), drafts, quiet, 0)
    expect([reached, fromS, settleAfterS]).toEqual([false, null, null])
    expect(levelW.value).toBeCloseTo(80.8 - 0.5 * 8.35, 9)
    expect(levelW.low).toBeCloseTo(80.8 - 1.5 * 8.35 - 0.808, 9)
    expect(levelW.high).toBeCloseTo(80.8 + 0.808, 9)
  })

  it('is not reached either where a level was made of the fall’s end', () => {
    const drafts = [stage('decay', () => 130), stage('level', (timeS) => 120 - 0.1 * timeS)]
    expect(withLateCourse(settled(80, 79, 81), drafts, quiet, 0).reached).toBe(false)
  })

  it('is looked for upwards where power rises', () => {
    const drafts = [stage('rise', (timeS) => 40 + 0.1 * timeS)]
    const { levelW } = withLateCourse(settled(80, 79, 81), drafts, quiet, 0)
    expect(levelW.value).toBeCloseTo(79.2 + 0.5 * 8.35, 9)
    expect(levelW.low).toBeCloseTo(79.2 * 0.99, 9)
    expect(levelW.high).toBeCloseTo(79.2 + 1.5 * 8.35 + 0.792, 9)
  })

  it.each([
    [98.1, 0, true],
    [97.9, 0, false],
    // Twice the error of a block of 16 samples, 0.05 W, on either side of 1 %.
    [97.9, 0.2, true],
    [97.7, 0.2, false],
  ])(
    'is steady when its blocks lie within 1 %% of each other: from 100 to %f W, noise %f W',
    (toW, scale, steady) => {
      const last = stage('decay', (timeS) => (timeS < 350 ? 100 : toW))
      const noise = { scale, autocorrelation: 0 }
      expect(withLateCourse(settled(98, 97, 99), [last], noise, 0).reached).toBe(steady)
      expect(isSteadyLate(last, noise, 0)).toBe(steady)
    },
  )

  it('that never fell, that a loop shows, or that was not reached stays as it is', () => {
    const moving = (timeS: number) => 120 - 0.1 * timeS
    expect(withLateCourse(settled(82, 81, 83), [stage('level', moving)], quiet, 0).reached).toBe(true)
    const [stretch] = stretchesOf({ parts: [[{ samples: 401, levelW: 0 }]], runIndex: 1 })
    stretch!.run.series.powerW.set(Float64Array.from({ length: 401 }, (_, i) => moving(i)))
    const loop = [{ shape: 'decay' as const, stretches: [stretch!] }]
    expect(withLateCourse(settled(82, 81, 83), loop, quiet, 0).reached).toBe(true)
    const open = { ...settled(10, 9, 11), reached: false }
    expect(withLateCourse(open, [stage('level', () => 80)], quiet, 0)).toBe(open)
  })

  it('is seen in the last quarter of the load, or its last 90 s', () => {
    // Moves until 310 s: outside of the last 90 s of 401, inside of the last quarter of a load that began 80 s earlier.
    const drafts = [stage('decay', (timeS) => (timeS < 299 ? 200 : 100))]
    expect(withLateCourse(settled(100, 99, 101), drafts, quiet, 0).reached).toBe(true)
    expect(withLateCourse(settled(100, 99, 101), drafts, quiet, -80).reached).toBe(false)
    const late = [stage('decay', (timeS) => (timeS < 312 ? 200 : 100))]
    expect(withLateCourse(settled(100, 99, 101), late, quiet, 300).reached).toBe(false)
    expect(
      withLateCourse(settled(100, 99, 101), [stage('decay', (t) => (t < 310 ? 200 : 100))], quiet, 300)
        .reached,
    ).toBe(true)
  })

  it('leaves out samples that were set aside', () => {
    const last = stage('decay', (timeS) => (timeS === 360 ? 400 : 80))
    last.stretches[0]!.run.series.weights[360] = 0
    expect(withLateCourse(settled(80, 79, 81), [last], quiet, 0)).toEqual(settled(80, 79, 81))
  })
})

it('a block without samples is passed over', () => {
  const [draft] = draftsOf(['level'], { parts: [[{ samples: 20, levelW: 80 }]], everyS: 30 })
  const noise = { scale: 1, autocorrelation: 0 }
  expect(withLateCourse(settled(80, 79, 81), [draft!], noise, 0)).toEqual(settled(80, 79, 81))
})

it('a stage of less than 90 s has not filled the window', () => {
  const lasts = (samples: number) =>
    draftsOf(['level'], { parts: [[{ samples, levelW: 80 }]], startS: 300 })[0]!
  expect(isSteadyLate(lasts(91), quiet, 0)).toBe(true)
  expect(isSteadyLate(lasts(90), quiet, 0)).toBe(false)
})
