import { describe, expect, it } from 'vitest'
import type { Cycles } from '../../../src/segment/cut/cycles.js'
import { joinSwing } from '../../../src/segment/cut/joinSwing.js'
import { type Course, makeRun } from '../makeRun.js'

/** Six cycles of 20 s from sample 100 on. */
const CYCLES: Cycles = {
  edges: [100, 120, 140, 160, 180, 200, 220],
  turns: [108, 128, 148, 168, 188, 208],
  opensHigh: false,
  lowW: 30,
  highW: 60,
  beginsLate: true,
}

/** Where the parts that are left begin and end, and how their pieces go. */
function joined(
  parts: readonly (readonly Course[])[],
  { cycles = CYCLES as Cycles | null, softS = [] as number[] } = {},
) {
  const run = makeRun({ parts, softS })
  const series = cycles === null ? run.series : { ...run.series, cycles }
  return joinSwing(run.parts, series)
}

const flat = (samples: number, levelW: number): Course[] => [{ samples, levelW }]
const ends = (parts: readonly { readonly from: number; readonly to: number }[]) =>
  parts.map(({ from, to }) => [from, to])

describe('parts of a swing', () => {
  it('that last fewer than two cycles are joined to the one before them, whose course goes on', () => {
    const parts = joined([flat(100, 60), flat(90, 50), flat(30, 44)])
    expect(ends(parts)).toEqual([
      [0, 100],
      [100, 220],
    ])
    expect(parts[1]!.pieces).toHaveLength(1)
    expect(parts[1]!.pieces[0]).toMatchObject({ from: 100, to: 220 })
    expect(parts[1]!.pieces[0]!.levelW).toBeCloseTo((90 * 50 + 30 * 44) / 120, 9)
  })

  it('that come first are joined to the one after them, whose course begins earlier', () => {
    const parts = joined([flat(100, 60), flat(30, 56), flat(90, 44)], { softS: [0, 2, 3] })
    expect(ends(parts)).toEqual([
      [0, 100],
      [100, 220],
    ])
    expect(parts[1]!.softS).toBe(2)
    expect(parts[1]!.pieces[0]!.levelW).toBeCloseTo((30 * 56 + 90 * 44) / 120, 9)
  })

  it('that last two cycles and more stay', () => {
    expect(ends(joined([flat(100, 60), flat(60, 50), flat(60, 44)]))).toHaveLength(3)
    expect(ends(joined([flat(100, 60), flat(79, 50), flat(41, 44)]))).toHaveLength(3)
    expect(ends(joined([flat(100, 60), flat(80, 50), flat(40, 44)]))).toHaveLength(2)
  })

  it('stay apart from what lies before the swing, by where the middle of a part lies', () => {
    expect(ends(joined([flat(110, 60), flat(110, 50)]))).toHaveLength(2)
    expect(ends(joined([flat(70, 60), flat(20, 55), flat(130, 50)]))).toHaveLength(3)
    expect(ends(joined([flat(95, 60), flat(20, 55), flat(105, 50)]))).toEqual([
      [0, 95],
      [95, 220],
    ])
  })

  it('keep the course of the longer part: its other pieces and its time constants', () => {
    const bent: Course[] = [
      { samples: 50, levelW: 50, amplitudeW: 10, tauS: 20 },
      { samples: 40, levelW: 48 },
    ]
    const later = joined([flat(100, 60), bent, flat(30, 44)])[1]!.pieces
    expect(later.map(({ from, to, tauS }) => [from, to, tauS])).toEqual([
      [100, 150, 20],
      [150, 220, Number.POSITIVE_INFINITY],
    ])
    const earlier = joined([flat(100, 60), flat(30, 56), bent])[1]!.pieces
    expect(earlier.map(({ from, to, tauS }) => [from, to, tauS])).toEqual([
      [100, 180, 20],
      [180, 220, Number.POSITIVE_INFINITY],
    ])
  })

  it('are what they are where power does not swing', () => {
    const parts = joined([flat(100, 60), flat(90, 50), flat(30, 44)], { cycles: null })
    expect(ends(parts)).toEqual([
      [0, 100],
      [100, 190],
      [190, 220],
    ])
  })
})
