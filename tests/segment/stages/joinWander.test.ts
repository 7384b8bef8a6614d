import { describe, expect, it } from 'vitest'
import { joinWander } from '../../../src/segment/stages/joinWander.js'
import { draftsOf } from '../makeRun.js'

/** Lengths in samples of one second, and powers, of the stages that are left of a course of levels. */
function left(levels: readonly (readonly [samples: number, levelW: number])[]) {
  const parts = levels.map(([samples, levelW]) => [{ samples, levelW }])
  const shapes = levels.map(() => 'level' as const)
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
