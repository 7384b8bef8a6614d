import { describe, expect, it } from 'vitest'
import { levelSection } from '../../../src/segment/settled/levelSection.js'
import type { DraftStage } from '../../../src/segment/stages/draftStage.js'
import { type Course, draftsOf, stretchesOf } from '../makeRun.js'

const level = (...courses: readonly Course[]) => draftsOf(['level'], { parts: [courses], startS: 50 })[0]!

describe('an uninterrupted level', () => {
  it('is shown by its last piece when four tenths of it lie there', () => {
    const section = levelSection(level({ samples: 60, levelW: 100 }, { samples: 40, levelW: 99 }))
    expect(section.powerW).toEqual(new Float64Array(40).fill(99))
    expect(Array.from(section.sinceS.subarray(0, 2))).toEqual([0, 1])
    expect(
      levelSection(level({ samples: 61, levelW: 100 }, { samples: 39, levelW: 99 })).powerW,
    ).toHaveLength(100)
  })

  it('leaves out the approach that opens it', () => {
    const drafts = draftsOf(['level', 'level'], {
      parts: [[{ samples: 20, levelW: 120 }], [{ samples: 100, levelW: 100 }]],
      softS: [0, 2],
    })
    expect(levelSection(drafts[1]!).powerW).toHaveLength(90)
    const pieces = [
      { samples: 64, levelW: 100 },
      { samples: 36, levelW: 99 },
    ]
    const twice = draftsOf(['level', 'level'], {
      parts: [[{ samples: 20, levelW: 120 }], pieces],
      softS: [0, 2],
    })
    // 36 of the 90 samples after the approach are four tenths.
    expect(levelSection(twice[1]!).powerW).toHaveLength(36)
  })
})

describe('the level of a loop', () => {
  /** Runs of so many samples, a minute apart, each at a level of its own. */
  function loop(...samples: readonly number[]): DraftStage {
    const stretches = samples.flatMap((count, runIndex) =>
      stretchesOf({ parts: [[{ samples: count, levelW: 80 + runIndex }]], startS: 60 * runIndex, runIndex }),
    )
    return { shape: 'level', stretches }
  }

  it('is shown by the later half of each run, one after the other', () => {
    // Of samples at 0 to 10 s those after 5 s; the next run follows a second later.
    const section = levelSection(loop(11, 11, 11))
    expect(Array.from(section.powerW)).toEqual([
      ...Array(5).fill(80),
      ...Array(5).fill(81),
      ...Array(5).fill(82),
    ])
    expect(Array.from(section.sinceS)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14])
    expect(Array.from(section.weights)).toEqual(Array(15).fill(1))
  })

  it('leaves out a run that was broken off: shorter than 0.8 of the usual one', () => {
    expect(Array.from(new Set(levelSection(loop(11, 11, 8)).powerW))).toEqual([80, 81])
    expect(Array.from(new Set(levelSection(loop(11, 11, 9)).powerW))).toEqual([80, 81, 82])
  })

  it('takes the runs whole where none has a later half', () => {
    const stretches = loop(11, 11).stretches.map((stretch) => ({
      ...stretch,
      part: { ...stretch.part, to: 5 },
    }))
    expect(Array.from(levelSection({ shape: 'level', stretches }).powerW)).toEqual([
      ...Array(5).fill(80),
      ...Array(5).fill(81),
    ])
  })
})
