import { describe, expect, it } from 'vitest'
import {
  levelsIn,
  MARK,
  type MarkedLevels,
  powerBeside,
  splitTwoLevels,
} from '../../../src/segment/loads/twoLevels.js'

type Level = readonly [levelW: number, lengthS: number, mark?: keyof typeof MARK]

/** A log of these levels, a sample a second. */
function log(levels: readonly Level[], parts: Partial<MarkedLevels> = {}): MarkedLevels {
  let at = 0
  return {
    levels: levels.map(([levelW, lengthS]) => {
      const from = at
      at += Math.max(1, Math.round(lengthS))
      return { from, to: at, levelW, lengthS, usePct: null, clockHz: null }
    }),
    marks: Uint8Array.from(levels, ([, , mark]) => MARK[mark ?? 'idle']),
    noiseW: 0.1,
    topW: 100,
    leastHighS: 5,
    leastRiseW: 4,
    leastRiseShare: 0.3,
    ...parts,
  }
}

function split(levels: readonly Level[], inheritedW = 0, parts: Partial<MarkedLevels> = {}) {
  return splitTwoLevels({ from: 0, to: levels.length }, inheritedW, log(levels, parts))
}

describe('a zone of a log', () => {
  it('is split in the widest gap between its lowest and its highest power', () => {
    const found = split([
      [10, 60],
      [30, 60],
      [90, 60],
      [100, 60],
      [11, 60],
    ])!
    expect([found.lowW, found.highW]).toEqual([10, 100])
    // The gap from 32.5 W, a quarter of the way up, to 77.5 W; power is kept above 35 % of it.
    expect(found.keptW).toBeCloseTo(41.5, 9)
    expect(found.cores).toEqual([{ from: 2, to: 4 }])
  })

  it('has its break in the widest gap from a quarter to three quarters of the way up', () => {
    const cores = (...powers: readonly number[]) => split(powers.map((watts): Level => [watts, 60]))!.cores
    // From 35 to 85 W: gaps of 15, 15 and 20 W, so that 65 W is not at work.
    expect(cores(10, 50, 65, 110, 10)).toEqual([{ from: 3, to: 4 }])
    // Gaps of 20, 15 and 15 W: 55 W is.
    expect(cores(10, 55, 10, 70, 110, 10)).toEqual([
      { from: 1, to: 2 },
      { from: 3, to: 5 },
    ])
    // What lies outside of that way counts for nothing.
    expect(cores(10, 30, 34, 55, 70, 90, 110, 10)).toEqual([{ from: 3, to: 7 }])
  })

  it('is not, where both lie within 4 W or 30 % of each other', () => {
    expect(
      split([
        [10, 60],
        [13.9, 60],
      ]),
    ).toBeNull()
    expect(
      split([
        [10, 60],
        [14.1, 60],
      ]),
    ).not.toBeNull()
    expect(
      split([
        [50, 60],
        [64.9, 60],
      ]),
    ).toBeNull()
    expect(
      split([
        [50, 60],
        [65.1, 60],
      ]),
    ).not.toBeNull()
  })

  it('has a low power that lasts a second, and a high one that lasts as long as a level must', () => {
    const low = split([
      [2, 0.5],
      [10, 60],
      [100, 60],
    ])!
    expect(low.lowW).toBe(10)
    expect(
      split([
        [2, 1],
        [10, 60],
        [100, 60],
      ])!.lowW,
    ).toBe(2)
    expect(
      split([
        [10, 60],
        [150, 4],
        [100, 60],
      ])!.highW,
    ).toBe(100)
    expect(
      split([
        [10, 60],
        [150, 5],
        [100, 60],
      ])!.highW,
    ).toBe(150)
    // In a short zone a tenth and a third of it.
    expect(
      split([
        [2, 0.5],
        [10, 2],
        [100, 2],
      ])!.lowW,
    ).toBe(2)
    expect(
      split([
        [10, 3],
        [100, 3],
      ])!.highW,
    ).toBe(100)
    expect(
      split([
        [10, 3],
        [150, 0.5],
        [100, 2],
      ])!.highW,
    ).toBe(100)
  })

  it('is at work without a break where power stays above what is kept', () => {
    const cores = (dipW: number) =>
      split([
        [10, 60],
        [100, 60],
        [dipW, 60],
        [95, 60],
        [10, 60],
      ])!.cores
    expect(cores(42)).toEqual([{ from: 1, to: 4 }])
    expect(cores(41)).toEqual([
      { from: 1, to: 2 },
      { from: 3, to: 4 },
    ])
  })

  it('passes over blips', () => {
    const blips = split([
      [10, 60],
      [100, 60],
      [5, 60, 'blip'],
      [100, 60],
      [300, 60, 'blip'],
      [10, 60],
    ])!
    expect([blips.lowW, blips.highW]).toEqual([10, 100])
    expect(blips.cores).toEqual([{ from: 1, to: 4 }])
  })

  it('has no work below what was known to be idle around it', () => {
    expect(
      split(
        [
          [10, 60],
          [100, 60],
        ],
        60,
      )!,
    ).toMatchObject({ knownW: 60, keptW: 60 })
    expect(
      split(
        [
          [10, 60],
          [100, 60],
        ],
        100,
      ),
    ).toBeNull()
  })

  it('knows what lies beside work to be idle, to within a tenth, where that is low', () => {
    const levels: readonly Level[] = [
      [100, 60, 'work'],
      [20, 60],
      [10, 60],
      [90, 60],
      [10, 60],
    ]
    const zone = { from: 1, to: 5 }
    expect(splitTwoLevels(zone, 0, log(levels))!.knownW).toBeCloseTo(22, 9)
    // 32 % of the way from the lowest power to the work beside it and more is no idle.
    const beside = (sideW: number, lengthS = 19) =>
      splitTwoLevels(
        zone,
        0,
        log([
          [100, 60, 'work'],
          [sideW, lengthS],
          [10, 60],
          [90, 60],
          [10, 60],
        ]),
      )!.knownW
    expect(beside(38.7)).toBeCloseTo(1.1 * 38.7, 9)
    expect(beside(38.9)).toBeCloseTo(0, 9)
    // After work, neither is a quarter of it that lasts for 20 s.
    expect(beside(32.6, 20)).toBeCloseTo(0, 9)
    expect(beside(32.4, 20)).toBeCloseTo(1.1 * 32.4, 9)
    // Where no work lies beside it, nothing is known.
    expect(splitTwoLevels(zone, 0, log([[10, 60], ...levels.slice(1)]))!.knownW).toBeCloseTo(0, 9)
    const after = splitTwoLevels(
      { from: 0, to: 4 },
      0,
      log([
        [10, 60],
        [90, 60],
        [10, 60],
        [18, 60],
        [100, 60, 'work'],
      ]),
    )!
    expect(after.knownW).toBeCloseTo(19.8, 9)
  })
})

describe('power beside a place', () => {
  it('is the mean of the first five seconds, edges passed over', () => {
    const levels: readonly Level[] = [
      [50, 2],
      [20, 3],
      [10, 60],
      [100, 60, 'work'],
    ]
    expect(powerBeside(0, 1, log(levels))).toBeCloseTo((20 * 3 + 10 * 2) / 5, 9)
    expect(powerBeside(2, -1, log(levels))).toBe(10)
    expect(powerBeside(1, 1, log(levels))).toBeCloseTo((20 * 3 + 10 * 2) / 5, 9)
    expect(powerBeside(1, -1, log(levels))).toBeCloseTo((20 * 3 + 50 * 2) / 5, 9)
  })

  it('ends at work, and passes over blips', () => {
    expect(
      powerBeside(
        0,
        1,
        log([
          [20, 3],
          [100, 9, 'work'],
          [5, 9],
        ]),
      ),
    ).toBe(20)
    expect(
      powerBeside(
        0,
        1,
        log([
          [20, 3],
          [300, 9, 'blip'],
          [10, 9],
        ]),
      ),
    ).toBeCloseTo(16, 9)
    expect(powerBeside(0, 1, log([[100, 9, 'work']]))).toBe(0)
    expect(powerBeside(1, 1, log([[20, 3]]))).toBe(0)
    expect(powerBeside(-1, -1, log([[20, 3]]))).toBe(0)
  })
})

it('the levels of a range are those that are no blips', () => {
  const marked = log([
    [1, 9],
    [2, 9, 'blip'],
    [3, 9],
    [4, 9, 'work'],
    [5, 9],
  ])
  expect(levelsIn({ from: 0, to: 4 }, marked).map(({ levelW }) => levelW)).toEqual([1, 3, 4])
  expect(levelsIn({ from: 2, to: 5 }, marked).map(({ levelW }) => levelW)).toEqual([3, 4, 5])
})
