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
    expect(joined([level(50, 100), level(50, 104)])).toEqual([[0, 100, 0]])
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
    // 2 × 6 / sqrt(9) = 4 W.
    expect(joined([level(100, 130), level(9, 100), level(100, 96.5)], { noiseW: 6 })).toEqual([
      [0, 100, 0],
      [100, 209, 0],
    ])
  })
})

describe('levels that noise has bent', () => {
  /** Drifts up from 100 W to 103.2 W; 102.0 W on average. */
  const bent: Course = { samples: 100, levelW: 104, amplitudeW: -4, tauS: 60 }

  it('are one flat level when their means are alike, though they don’t meet', () => {
    const { series, pieces } = makeRun({ parts: [[bent], [level(100, 100.8)]] })
    const parts = joinPieces(pieces, series, 0)
    expect(parts).toHaveLength(1)
    expect(parts[0]!.pieces).toHaveLength(1)
    const mean = series.powerW.reduce((sum, watts) => sum + watts, 0) / 200
    expect(parts[0]).toMatchObject({ from: 0, to: 200, softS: 0, pieces: [{ amplitudeW: 0 }] })
    expect(parts[0]!.pieces[0]!.levelW).toBeCloseTo(mean, 10)
  })

  it('are two when their means are 2 % apart, or one of them rises or falls', () => {
    expect(joined([bent, level(100, 99.8)])).toHaveLength(2)
    // Means of 104.1 and 87.4 W.
    expect(joined([{ samples: 100, levelW: 108, amplitudeW: -8, tauS: 60 }, level(100, 103.9)])).toHaveLength(
      2,
    )
    expect(joined([fall(100, 100, 80, 40), level(100, 87.4)])).toHaveLength(2)
    expect(joined([level(100, 87.4), fall(100, 100, 80, 40)])).toHaveLength(2)
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
    expect(joined([level(50, 100), level(8, 82.3), level(50, 80)])).toHaveLength(2)
    expect(joined([level(50, 100), level(9, 82.3), level(50, 80)])).toHaveLength(3)
  })

  it('is a level when it stays in between for more than 3 s and three samples', () => {
    expect(joined([level(50, 100), level(4, 90), level(50, 80)])).toHaveLength(3)
    // Within 12 % of the step from where it leads, it belongs there.
    expect(joined([level(50, 100), level(4, 82.3), level(50, 80)])).toHaveLength(2)
    expect(joined([level(50, 100), level(4, 82.5), level(50, 80)])).toHaveLength(3)
    expect(joined([level(50, 100), level(4, 82.5), level(50, 80)], { noiseW: 0.1 })).toHaveLength(2)
    // Three samples are few however long they take, and 3 s are short however many they hold.
    expect(joined([level(50, 100), level(3, 90), level(50, 80)], { everyS: 2 })).toHaveLength(2)
    expect(joined([level(50, 100), level(4, 90), level(50, 80)], { everyS: 2 })).toHaveLength(3)
    expect(joined([level(50, 100), level(6, 90), level(50, 80)], { everyS: 0.5 })).toHaveLength(2)
    expect(joined([level(50, 100), level(7, 90), level(50, 80)], { everyS: 0.5 })).toHaveLength(3)
  })

  it('leads there also where it has not arrived yet', () => {
    // 80 + 20 exp(-3/4) = 89.4 W at its end.
    expect(joined([level(50, 100), fall(4, 100, 80, 4), level(50, 80)])).toHaveLength(2)
  })

  it('is a level when it lies outside of what it would join', () => {
    expect(joined([level(50, 100), level(3, 110), level(50, 80)])).toHaveLength(3)
    expect(joined([level(50, 100), level(3, 70), level(50, 80)])).toHaveLength(3)
  })

  it('may swing past what it leads to, for a quarter of a second', () => {
    expect(joined([level(100, 130), level(2, 90), level(100, 120)], { everyS: 0.1 })).toHaveLength(2)
    expect(joined([level(100, 130), level(3, 90), level(100, 120)], { everyS: 0.1 })).toHaveLength(3)
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
    expect(joined([level(50, 100), level(50, 80), level(2, 60)], { closes: true })).toHaveLength(2)
    expect(joined([level(50, 100), level(2, 97.9)], { closes: true })).toEqual([[0, 50, 0]])
    expect(joined([level(50, 100), level(2, 98.1)], { closes: true })).toEqual([[0, 52, 0]])
    expect(joined([level(50, 100), level(2, 140)], { closes: true })).toHaveLength(2)
  })

  it('nor do more of them within a second, as a running mean comes down', () => {
    expect(joined([level(100, 100), level(5, 60)], { closes: true, everyS: 0.2 })).toEqual([[0, 100, 0]])
    expect(joined([level(100, 100), level(10, 60)], { closes: true, everyS: 0.2 })).toHaveLength(2)
    // In steps of several samples, both ways.
    const down = [level(100, 100), level(3, 90), level(4, 75), level(4, 50)]
    expect(joined(down, { closes: true, everyS: 0.1 })).toEqual([[0, 100, 0]])
    expect(joined(down, { closes: true, everyS: 0.2 })).toHaveLength(2)
    const up = [level(4, 50), level(4, 75), level(3, 90), level(100, 100)]
    expect(joined(up, { everyS: 0.1 })).toEqual([[0, 111, 0]])
    expect(joined(up, { everyS: 0.2 })).toHaveLength(2)
  })

  it('down to what goes up again is a stage', () => {
    const dip = [level(100, 100), level(3, 60), level(4, 75)]
    expect(joined(dip, { closes: true, everyS: 0.1 })).toHaveLength(3)
    expect(joined([level(4, 75), level(4, 60), level(100, 100)], { everyS: 0.1 })).toHaveLength(3)
  })

  it('are all that there is of a run as short as that', () => {
    expect(joined([level(2, 100)], { closes: true })).toEqual([[0, 2, 0]])
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
    const { series, pieces } = makeRun({ parts: [[first], [fall(200, endW, 70, 80)]] })
    expect(joinPieces(pieces, series, 0)[0]!.pieces).toEqual(pieces)
  })

  it('are two when the power jumps between them by a quarter of the first one and more', () => {
    const first = fall(40, 100, 80, 20)
    const fallW = 20 - 20 * Math.exp(-39 / 20)
    const endW = 100 - fallW
    expect(joined([first, fall(200, endW - 0.26 * fallW, 60, 80)])).toHaveLength(2)
    expect(joined([first, fall(200, endW + 0.26 * fallW, 60, 80)])).toHaveLength(2)
    expect(joined([first, fall(200, endW - 0.24 * fallW, 60, 80)])).toHaveLength(1)
  })

  it('that are small are one when power jumps by less than 2 % between them', () => {
    const first = fall(200, 104.5, 100, 60)
    const endW = 100 + 4.5 * Math.exp(-199 / 60)
    expect(joined([first, fall(200, endW - 1.5, 90, 60)])).toHaveLength(1)
    expect(joined([first, fall(200, endW - 2.5, 90, 60)])).toHaveLength(2)
  })

  it('do not join the level before them, though it sinks a little', () => {
    // By 2 % in all, less than a relaxation.
    const endW = 100 + 2 * Math.exp(-59 / 20)
    expect(joined([fall(60, 102, 100, 20), fall(200, endW, 80, 60)])).toHaveLength(2)
  })

  it('do not join the level before them', () => {
    expect(joined([level(50, 100), fall(200, 100, 80, 60)])).toEqual([
      [0, 50, 0],
      [50, 250, 0],
    ])
  })
})
