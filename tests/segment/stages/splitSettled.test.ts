import { describe, expect, it } from 'vitest'
import { cutStretch, splitSettled } from '../../../src/segment/stages/splitSettled.js'
import { draftsOf, stretchesOf } from '../makeRun.js'

const options = {
  parts: [[{ samples: 20, levelW: 100 }], [{ samples: 40, levelW: 80, amplitudeW: 20, tauS: 10 }]],
}

describe('a relaxation that has settled', () => {
  it('is its course and the level that it settled at', () => {
    const split = splitSettled(draftsOf(['level', 'decay'], options), 45)
    expect(split.map(({ shape }) => shape)).toEqual(['level', 'decay', 'level'])
    const [course, rest] = split.slice(1).map(({ stretches }) => stretches[0]!)
    expect([course!.startS, course!.endS, rest!.startS, rest!.endS]).toEqual([20, 45, 45, 59])
    // Samples that end after 45 s belong to what comes then; 45 s itself to what came before.
    expect([course!.part.from, course!.part.to, rest!.part.from, rest!.part.to]).toEqual([20, 46, 46, 60])
    expect(course!.edge).not.toBeNull()
    expect(rest!.edge).toBeNull()
  })

  it('stays whole where either part would be shorter than 5 s, or nothing has settled', () => {
    const drafts = draftsOf(['level', 'decay'], options)
    expect(splitSettled(drafts, 24.9)).toBe(drafts)
    expect(splitSettled(drafts, 25)).toHaveLength(3)
    expect(splitSettled(drafts, 54.1)).toBe(drafts)
    expect(splitSettled(drafts, 54)).toHaveLength(3)
    expect(splitSettled(drafts, null)).toBe(drafts)
  })

  it('a level is not split', () => {
    const drafts = draftsOf(['level', 'level'], options)
    expect(splitSettled(drafts, 45)).toBe(drafts)
  })

  it('is split across the runs of a loop', () => {
    const stretches = [0, 1, 2].flatMap((runIndex) =>
      stretchesOf({ parts: [[{ samples: 21, levelW: 80 }]], startS: 30 * runIndex, runIndex }),
    )
    const [course, rest] = splitSettled([{ shape: 'decay', stretches }], 40)
    expect(course!.stretches.map(({ startS, endS }) => [startS, endS])).toEqual([
      [0, 20],
      [30, 40],
    ])
    expect(rest!.stretches.map(({ startS, endS }) => [startS, endS])).toEqual([
      [40, 50],
      [60, 80],
    ])
  })
})

describe('the part of a stretch between two times', () => {
  const [, stretch] = stretchesOf(options)

  it('has at least two samples, or is nothing', () => {
    expect(cutStretch(stretch!, 57, 99).map(({ part }) => [part.from, part.to])).toEqual([[58, 60]])
    expect(cutStretch(stretch!, 58, 99)).toEqual([])
    expect(cutStretch(stretch!, 0, 21)).toHaveLength(1)
    expect(cutStretch(stretch!, 0, 20)).toEqual([])
    expect(cutStretch(stretch!, 200, 300)).toEqual([])
    expect(cutStretch(stretch!, 0, 10)).toEqual([])
  })

  it('keeps the pieces that it has samples of, so that its end is not told by a later one', () => {
    const whole = stretch!.part.pieces[0]!
    const pieces = [
      { ...whole, from: 20, to: 40 },
      { ...whole, from: 40, to: 60, levelW: 70, amplitudeW: 0 },
    ]
    const told = (fromS: number, toS: number) =>
      cutStretch({ ...stretch!, part: { ...stretch!.part, pieces } }, fromS, toS).map(
        ({ part }) => part.pieces,
      )
    expect(told(0, 39)).toEqual([pieces.slice(0, 1)])
    expect(told(0, 40)).toEqual([pieces])
    expect(told(38, 99)).toEqual([pieces])
    expect(told(39, 99)).toEqual([pieces.slice(1)])
  })
})
