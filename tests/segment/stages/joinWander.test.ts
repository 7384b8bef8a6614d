import { describe, expect, it } from 'vitest'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { joinWander } from '../../../src/segment/stages/joinWander.js'
import { measureLevel } from '../../../src/segment/stages/measureLevel.js'
import { draftsOf } from '../makeRun.js'

/** Lengths in samples of one second, and powers, of the stages that are left of a course of levels. */
function left(
  levels: readonly (readonly [samples: number, levelW: number])[],
  shapes: readonly DraftStage['shape'][] = levels.map(() => 'level'),
) {
  const parts = levels.map(([samples, levelW]) => [{ samples, levelW }])
  return joinWander(draftsOf(shapes, { parts })).map(({ stretches }) => {
    const { part } = stretches.at(-1)!
    return part.to - stretches[0]!.part.from
  })
}

describe('a course without pauses', () => {
  it('that keeps going up and down by a few per cent within seconds is one level, however long some of it', () => {
    expect(left([3, 4, 2, 3, 16, 4].map((samples, k) => [samples, k % 2 ? 164 : 155]))).toEqual([32])
    expect(
      left([
        [3, 155],
        [4, 164],
        [2, 156],
        [3, 166],
        [4, 158],
        [40, 100],
      ]),
    ).toEqual([16, 40])
  })

  it('keeps levels that are few, long, far apart, or all one way', () => {
    const ups = (levels: readonly number[], samples: number) =>
      left(levels.map((levelW) => [samples, levelW])).length
    expect(ups([155, 164, 155, 164], 4)).toBe(4)
    expect(ups([155, 164, 155, 164, 155, 164], 20)).toBe(6)
    expect(ups([140, 180, 140, 180, 140, 180], 4)).toBe(6)
    expect(ups([150, 153, 156, 159, 162, 165], 4)).toBe(5)
    // One far level is enough, and one way up is no wandering.
    expect(ups([155, 164, 155, 190, 155, 164], 4)).toBe(6)
    expect(ups([168, 164, 160, 168, 164, 154], 4)).toBe(6)
  })

  it('wanders from four moments of less than 5 s on', () => {
    const course = (samples: number) => left([155, 164, 155, 164].map((levelW) => [samples, levelW]))
    const then = (samples: number) =>
      left([...[155, 164, 155, 164].map((levelW) => [samples, levelW] as const), [30, 155]])
    expect(then(4)).toEqual([46])
    expect(then(5)).toEqual([5, 5, 5, 5, 30])
    expect(course(4)).toEqual([4, 4, 4, 4])
  })

  it('neither joins nor drops what relaxes for 10 s and more: a softer step down is a part of the course', () => {
    const course = (fallS: number) =>
      [155, 164, 155, 164, 155, 164].map((levelW, k) => [k === 3 ? fallS : 4, levelW] as const)
    const shapes = ['level', 'level', 'level', 'decay', 'level', 'level'] as const
    expect(left(course(4), shapes)).toEqual([24])
    expect(left(course(9), shapes)).toEqual([29])
    expect(left(course(10), shapes)).toHaveLength(6)
    const end = [
      [60, 100],
      [4, 104],
    ] as const
    expect(left(end, ['level', 'decay'])).toEqual([60, 4])
    expect(left(end, ['decay', 'level'])).toEqual([60, 4])
  })

  it('that is joined is one level at the mean of all of its samples', () => {
    const parts = [155, 164, 155, 164, 155].map((levelW) => [{ samples: 4, levelW }])
    const drafts = draftsOf(['level', 'level', 'level', 'level', 'level'], { parts })
    const [stage, ...others] = joinWander(drafts)
    expect(others).toEqual([])
    expect(stage!.shape).toBe('level')
    const [stretch, ...more] = stage!.stretches
    expect(more).toEqual([])
    expect(stretch).toMatchObject({
      startS: 0,
      endS: drafts.at(-1)!.stretches[0]!.endS,
      part: { from: 0, to: 20 },
    })
    expect(stretch!.part.pieces).toHaveLength(1)
    expect(stretch!.part.pieces[0]!.levelW).toBeCloseTo((3 * 155 + 2 * 164) / 5, 10)
  })

  it('that is joined has the mean of all of its samples however softly it begins', () => {
    const course = [120, 100, 110, 100, 110, 100].map((levelW, k) => [{ samples: k ? 4 : 30, levelW }])
    const shapes = course.map(() => 'level' as const)
    const [before, joined, ...others] = joinWander(draftsOf(shapes, { parts: course, softS: [0, 4] }))
    expect(others).toEqual([])
    expect(before!.stretches[0]!.part.to).toBe(30)
    const noise = { scale: 1, autocorrelation: 0, gridW: undefined }
    expect(measureLevel(joined!.stretches, noise).value).toBeCloseTo((3 * 100 + 2 * 110) / 5, 10)
  })

  it('that goes far up and down is one level from eight moments and three ways up and down on, alone and beside what lasts', () => {
    const far = (count: number, samples = 3) =>
      Array.from({ length: count }, (_, k) => [samples, k % 2 ? 180 : 100] as const)
    expect(left(far(8))).toEqual([24])
    expect(left(far(7))).toHaveLength(7)
    expect(left(far(8, 5))).toHaveLength(8)
    expect(left([[30, 150], ...far(9), [30, 140]])).toEqual([30, 27, 30])
    // Up three times, but down only twice.
    const stairs = [100, 120, 140, 100, 120, 140, 100, 120].map((levelW) => [3, levelW] as const)
    expect(left(stairs)).toHaveLength(8)
  })

  it('ends before a step as small and short at its very end', () => {
    expect(
      left([
        [60, 100],
        [4, 104],
      ]),
    ).toEqual([60])
    expect(
      left([
        [60, 100],
        [6, 104],
      ]),
    ).toEqual([60, 6])
    expect(
      left([
        [60, 100],
        [4, 106],
      ]),
    ).toEqual([60, 4])
  })
})
