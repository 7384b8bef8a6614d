import { describe, expect, it } from 'vitest'
import { joinPieces } from '../../../src/segment/cut/joinPieces.js'
import { type Course, makeRun } from '../makeRun.js'

/** What becomes of pieces that follow these courses: first and last sample (exclusive), and softness, of each part. */
function joined(courses: readonly Course[], { noiseW = 0, closes = false, everyS = 1 } = {}) {
  const { series, pieces } = makeRun({ parts: courses.map((course) => [course]), closes, everyS })
  return joinPieces(pieces, series, noiseW).map(({ from, to, softS }) => [from, to, softS])
}

const level = (samples: number, levelW: number): Course => ({ samples, levelW })
const fall = (samples: number, fromW: number, levelW: number, tauS: number): Course => ({
  samples,
  levelW,
  amplitudeW: fromW - levelW,
  tauS,
})

describe('levels', () => {
  it('are two when a reader would tell them apart: by 2 % down, by 5 % up', () => {
    expect(joined([level(50, 100), level(50, 97.9)])).toEqual([
      [0, 50, 0],
      [50, 100, 0],
    ])
    expect(joined([level(50, 100), level(50, 105.1)])).toHaveLength(2)
  })

  it('are one when they differ by less', () => {
    expect(joined([level(50, 100), level(50, 98.1)])).toEqual([[0, 100, 0]])
  })

  it('are one level, fitted anew over all of their samples', () => {
    const { series, pieces } = makeRun({ parts: [[level(50, 100)], [level(150, 99)]] })
    const [part] = joinPieces(pieces, series, 0)
    expect(part!.pieces).toHaveLength(1)
    expect(part!.pieces[0]!.levelW).toBeCloseTo(99.25, 10)
  })

  it('drift up by less than 5 % and stay one, but keep their course', () => {
    const { series, pieces } = makeRun({
      parts: [[level(50, 100)], [{ samples: 100, levelW: 104, amplitudeW: -3, tauS: 30 }]],
    })
    const parts = joinPieces(pieces, series, 0)
    expect(parts).toHaveLength(1)
    expect(parts[0]!.pieces).toHaveLength(2)
  })

  it('are one when noise makes the difference: twice its scale by the root of the shorter one', () => {
    // 2 × 4 / sqrt(4) = 4 W, which 3.5 W is not more than; 2 × 3 / sqrt(4) = 3 W.
    expect(joined([level(100, 100), level(4, 96.5)], { noiseW: 4 })).toHaveLength(1)
    expect(joined([level(100, 100), level(4, 96.5)], { noiseW: 3 })).toHaveLength(2)
    expect(joined([level(100, 100), level(100, 96.5)], { noiseW: 4 })).toHaveLength(2)
  })
})

describe('a soft edge', () => {
  it('goes to the part that it leads into, with the time constant of its approach', () => {
    // 50 samples at 100 W, an approach with 2 s, and what it came to.
    expect(joined([level(50, 100), fall(6, 100, 80, 2), level(50, 80)])).toEqual([
      [0, 50, 0],
      [50, 106, 2],
    ])
  })

  it('of a sample in between has three tenths of its time as softness', () => {
    expect(joined([level(50, 100), level(3, 90), level(50, 80)])).toEqual([
      [0, 50, 0],
      [50, 103, 0.3 * 2],
    ])
  })

  it('is none when it lasts longer than 8 s', () => {
    expect(joined([level(50, 100), fall(8, 100, 80, 2.5), level(50, 80)])).toHaveLength(2)
    expect(joined([level(50, 100), level(9, 90), level(50, 80)])).toHaveLength(3)
  })

  it('is a level when it stays in between for more than 3 s and three samples', () => {
    expect(joined([level(50, 100), level(4, 90), level(50, 80)])).toHaveLength(3)
    // Within 12 % of the step from where it leads, it belongs there.
    expect(joined([level(50, 100), level(4, 82.3), level(50, 80)])).toHaveLength(2)
    expect(joined([level(50, 100), level(4, 82.5), level(50, 80)])).toHaveLength(3)
  })

  it('is a level when it lies outside of what it would join', () => {
    expect(joined([level(50, 100), level(3, 110), level(50, 80)])).toHaveLength(3)
    expect(joined([level(50, 100), level(3, 70), level(50, 80)])).toHaveLength(3)
  })

  it('leads somewhere: between two powers that are alike lies none', () => {
    expect(joined([level(50, 100), level(2, 60), level(50, 100)])).toHaveLength(3)
  })
})

describe('the way up and the way down', () => {
  it('up to three first samples below the first level are part of it', () => {
    expect(joined([level(3, 60), level(50, 100)])).toEqual([[0, 53, 0]])
    expect(joined([level(4, 60), level(50, 100)])).toHaveLength(2)
    expect(joined([level(3, 140), level(50, 100)])).toHaveLength(2)
  })

  it('one or two last samples on the way to idle belong to no stage', () => {
    expect(joined([level(50, 100), level(2, 60)], { closes: true })).toEqual([[0, 50, 0]])
    expect(joined([level(50, 100), level(3, 60)], { closes: true })).toHaveLength(2)
    expect(joined([level(50, 100), level(2, 140)], { closes: true })).toHaveLength(2)
  })

  it('where the log ends with the work they are what the log shows', () => {
    expect(joined([level(50, 100), level(2, 60)])).toHaveLength(2)
  })
})

describe('falls', () => {
  it('that go on where the last one ended are one', () => {
    const first = fall(40, 100, 80, 20)
    const endW = 80 + 20 * Math.exp(-39 / 20)
    expect(joined([first, fall(200, endW, 70, 80)])).toEqual([[0, 240, 0]])
  })

  it('are two when the power jumps between them by a quarter of the first one and more', () => {
    const first = fall(40, 100, 80, 20)
    const fallW = 20 - 20 * Math.exp(-39 / 20)
    const endW = 100 - fallW
    expect(joined([first, fall(200, endW - 0.26 * fallW, 60, 80)])).toHaveLength(2)
    expect(joined([first, fall(200, endW + 0.26 * fallW, 60, 80)])).toHaveLength(2)
    expect(joined([first, fall(200, endW - 0.24 * fallW, 60, 80)])).toHaveLength(1)
  })

  it('do not join the level before them', () => {
    expect(joined([level(50, 100), fall(200, 100, 80, 60)])).toEqual([
      [0, 50, 0],
      [50, 250, 0],
    ])
  })
})
