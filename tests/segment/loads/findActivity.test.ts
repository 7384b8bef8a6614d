import { describe, expect, it } from 'vitest'
import { findActivity } from '../../../src/segment/loads/findActivity.js'
import type { PowerLevel } from '../../../src/segment/loads/powerLevels.js'

type Level = readonly [levelW: number, lengthS: number, more?: Partial<PowerLevel>]

/** Stretches of work in a log of these levels, a sample a second, as numbers of their levels from and to. */
function work(...levels: readonly Level[]): readonly (readonly [number, number])[] {
  return noisyWork(0.1, ...levels)
}

function noisyWork(noiseW: number, ...levels: readonly Level[]): readonly (readonly [number, number])[] {
  let at = 0
  const cut = levels.map(([levelW, lengthS, more]): PowerLevel => {
    const from = at
    at += Math.max(1, Math.round(lengthS))
    return { from, to: at, levelW, lengthS, usePct: null, clockHz: null, ...more }
  })
  return findActivity({ levels: cut, noiseW, topW: 100 }).map(({ from, to }) => [from, to])
}

const IDLE: Level = [10, 60]
const WORK: Level = [100, 60]

describe('a log with idle', () => {
  it('is work where power stands apart from it', () => {
    expect(work(IDLE, WORK, IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, WORK, IDLE, WORK, IDLE)).toEqual([
      [1, 2],
      [3, 4],
    ])
  })

  it('holds blips of less than 8 s beside its work, and by themselves from 2 s on', () => {
    expect(work(IDLE, [100, 3], IDLE, WORK, IDLE)).toEqual([
      [1, 2],
      [3, 4],
    ])
    expect(work(IDLE, [100, 3], IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, [100, 1.5], IDLE)).toEqual([[0, 3]])
  })

  it('holds weak work that rises by 4.5 % of what the strongest does, and by four noise scales', () => {
    const weak = (levelW: number) => work(IDLE, WORK, IDLE, [levelW, 60], IDLE)
    expect(weak(14.1)).toEqual([
      [1, 2],
      [3, 4],
    ])
    expect(weak(14)).toEqual([[1, 2]])
  })

  it('counts that rise from the idle on either side', () => {
    const weak = (beforeW: number, afterW: number, levelW = 15) =>
      work(IDLE, WORK, IDLE, [beforeW, 20], [levelW, 60], [afterW, 20], IDLE).length
    expect(weak(10, 10)).toBe(2)
    expect(weak(11.5, 10)).toBe(1)
    expect(weak(10, 11.5)).toBe(1)
    expect(weak(11.5, 11.5, 15.6)).toBe(2)
  })

  it('takes for idle what lies within a tenth of the power that usually follows its work', () => {
    const shifts: readonly Level[] = [WORK, [15, 30], IDLE]
    const weak = (levelW: number) => work(IDLE, ...shifts, ...shifts, WORK, IDLE, [levelW, 60], IDLE).length
    expect(weak(16)).toBe(3)
    expect(weak(17)).toBe(4)
  })

  it('finds weak work over a high idle power, of which a tenth is more than the work rises by', () => {
    // A wall meter: idle is 70 W, and 76 W right after work; the strongest work rises by 90 W, the weak one by 8 W from the warm idle.
    const log: readonly Level[] = [
      [70, 60],
      [160, 60],
      [76, 60],
      [70, 60],
      [160, 60],
      [76, 60],
      [70, 60],
    ]
    expect(work(...log, [84, 130], [76, 60]).length).toBe(3)
    expect(work(...log, [79, 130], [76, 60]).length).toBe(2)
  })

  it('holds work that leaps from sample to sample by more than it rises above a lull', () => {
    const leaps: readonly Level[] = [
      [5, 60],
      [22, 120],
      [32, 20],
      [14, 12],
      [27, 24],
      [5, 60],
    ]
    expect(noisyWork(12, ...leaps)).toEqual([
      [1, 3],
      [4, 5],
    ])
  })

  it('knows idle right after work behind the edge of the work, and takes what ends a log at that power for idle', () => {
    const game: readonly Level[] = [
      [4.4, 55],
      [35, 240],
      [25, 1],
      [11, 9],
      [8.5, 120],
      [4.4, 80],
    ]
    expect(work(...game, [20, 250], [15, 1], [10, 40])).toEqual([
      [1, 3],
      [6, 7],
    ])
  })

  it('finds weak work beside work whose power comes down far in between: of two powers after work the lower is idle', () => {
    const mode: readonly Level[] = [
      [1, 60],
      [26, 40],
      [8.5, 90],
      [26, 30],
      [17, 300],
      [1.8, 20],
      [1, 20],
    ]
    expect(work(...mode, [4.3, 200], [1.7, 20]).at(-1)).toEqual([7, 8])
  })

  it('is one stretch while power never comes below half of what it rises to on either side', () => {
    const game: readonly Level[] = [
      [56, 8],
      [49, 10],
      [45, 7],
      [38, 14],
      [46, 23],
      [52, 14],
      [46, 25],
      [54, 20],
    ]
    const strong: readonly Level[] = [
      [14, 12],
      [126, 100],
      [4, 60],
    ]
    expect(work([4, 60], ...game, [45, 6], [50, 3], ...strong)).toEqual([
      [1, 11],
      [12, 13],
    ])
  })

  it('takes a blip for no work that what follows could be a stage of', () => {
    expect(work(IDLE, WORK, IDLE, [100, 7.9], [20, 60], IDLE)).toEqual([
      [1, 2],
      [3, 5],
    ])
    expect(work(IDLE, WORK, IDLE, [100, 8], [20, 60], IDLE)).toEqual([
      [1, 2],
      [3, 4],
    ])
  })
})

describe('a log that may be work alone', () => {
  it('idles after its only work where that has four times the power: else it may be a burst', () => {
    expect(work(WORK, [25, 60])).toEqual([[0, 1]])
    expect(work(WORK, [25.1, 60])).toEqual([[0, 2]])
  })

  it('idles before its only work where that has 1.6 times the power: else it may be another mode', () => {
    expect(work([25, 60], [40, 60])).toEqual([[1, 2]])
    expect(work([25, 60], [39.9, 60])).toEqual([[0, 2]])
  })

  it('idles between work where that has three times the power, or idle lasts 10 s', () => {
    const parts = [
      [0, 1],
      [2, 3],
    ]
    expect(work([60, 60], [20, 9], [60, 60])).toEqual(parts)
    expect(work([59.9, 60], [20, 9], [59.9, 60])).toEqual([[0, 3]])
    expect(work([40, 60], [20, 10], [40, 60])).toEqual(parts)
    expect(work([40, 60], [20, 10], [40, 60], [20, 5], [40, 60])).toEqual([...parts, [4, 5]])
    // As low as the lowest is what lies within a fifth of the way up.
    expect(work([40, 60], [20, 5], [23.9, 5], [40, 60])).toEqual([
      [0, 1],
      [3, 4],
    ])
    expect(work([40, 60], [20, 5], [24.1, 5], [40, 60])).toEqual([[0, 4]])
  })

  it('is one stretch where no level stands half of its power above another', () => {
    expect(work(WORK)).toEqual([[0, 1]])
    expect(work([70, 60], WORK, [70, 60])).toEqual([[0, 3]])
  })
})

describe('what lies beside stronger work without idle in between', () => {
  it('is its stage after it from 32 % of the way up and 3 s at one level on', () => {
    expect(work(IDLE, WORK, [40, 60], IDLE)).toEqual([[1, 3]])
    expect(work(IDLE, WORK, [38, 19], IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, WORK, [40, 3], [39.9, 3], [40, 3], IDLE)).toEqual([[1, 5]])
    expect(work(IDLE, WORK, [40, 3], [39.9, 2], [40, 3], IDLE)).toEqual([[1, 5]])
    expect(work(IDLE, WORK, [40, 2.9], [39.9, 2.9], [40, 2.9], IDLE)).toEqual([[1, 2]])
  })

  it('is its last phase from a quarter of the way up on, where it lasts for 20 s in all', () => {
    expect(work(IDLE, WORK, [33, 20], IDLE)).toEqual([[1, 3]])
    expect(work(IDLE, WORK, [33, 19], IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, WORK, [32, 60], IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, WORK, [34, 5], [38, 5], [34, 5], [38, 5], IDLE)).toEqual([[1, 6]])
    expect(work(IDLE, [33, 60], WORK, IDLE)).toEqual([[2, 3]])
  })

  it('is its stage before it from 20 s on, since a machine may prepare', () => {
    expect(work(IDLE, [40, 20], WORK, IDLE)).toEqual([[1, 3]])
    expect(work(IDLE, [40, 19.9], WORK, IDLE)).toEqual([[2, 3]])
    // From half of the way up on it need not last; 36 W elsewhere puts the break above it.
    expect(work(IDLE, [56, 10], WORK, IDLE, [36, 60], IDLE)).toEqual([
      [1, 3],
      [4, 5],
    ])
    expect(work(IDLE, [54, 10], WORK, IDLE, [36, 60], IDLE)).toEqual([
      [2, 3],
      [4, 5],
    ])
  })

  it('is its stage where use stays as high, however little power is left', () => {
    const stays = (usePct: number) =>
      work(IDLE, [100, 60, { usePct: 99 }], [20, 60, { usePct }], [100, 60, { usePct: 99 }], IDLE).length
    expect(stays(98)).toBe(1)
    expect(stays(80)).toBe(2)
    expect(work(IDLE, [100, 60], [20, 60, { usePct: 99 }], [100, 60], IDLE).length).toBe(2)
    // Idle that follows such work is known by what follows the rest of it: weak work at the power of that stage is found.
    const mode: readonly Level[] = [
      [100, 60, { usePct: 99 }],
      [20, 60, { usePct: 99 }],
      [100, 60, { usePct: 99 }],
    ]
    expect(work(IDLE, ...mode, IDLE, ...mode, IDLE, [19, 60, { usePct: 12 }], IDLE).length).toBe(3)
  })

  it('is its stage between work, where that goes on, from 3 s on: what is shorter is the edge of a pause', () => {
    expect(work(IDLE, WORK, [40, 3], WORK, IDLE)).toEqual([[1, 4]])
    const apart = [
      [1, 2],
      [3, 4],
    ]
    expect(work(IDLE, WORK, [38, 60], WORK, IDLE)).toEqual(apart)
    expect(work(IDLE, WORK, [40, 2.9], WORK, IDLE)).toEqual(apart)
    // The weaker work counts.
    expect(work(IDLE, WORK, [30, 60], [60, 60], IDLE)).toEqual([[1, 4]])
    expect(work(IDLE, WORK, [25, 60], [60, 60], IDLE)).toEqual(apart)
  })

  it('is its stage at the end of the log from 35 % of the way up and 8 s on', () => {
    expect(work(IDLE, WORK, [41.5, 8])).toEqual([[1, 3]])
    expect(work(IDLE, WORK, [41, 60])).toEqual([[1, 2]])
    expect(work(IDLE, WORK, [41.5, 7.9])).toEqual([[1, 2]])
  })

  it('is told over edges of up to two samples', () => {
    const apart = [
      [1, 2],
      [3, 4],
    ]
    expect(work(IDLE, WORK, [15, 2], [30, 60], IDLE)).toEqual([[1, 2]])
    expect(work(IDLE, WORK, [15, 3], [30, 60], IDLE)).toEqual(apart)
    expect(work(IDLE, [30, 60], [15, 2], WORK, IDLE)).toEqual([[3, 4]])
    expect(work(IDLE, [30, 60], [15, 3], WORK, IDLE)).toEqual(apart)
    expect(work(IDLE, WORK, [15, 2], [45, 5], [15, 2], WORK, IDLE)).toEqual([...apart, [5, 6]])
  })

  it('hides no weak work before or after it', () => {
    expect(work(IDLE, [16, 60], IDLE, [45, 19], WORK, IDLE)).toEqual([
      [1, 2],
      [4, 5],
    ])
    expect(work(IDLE, WORK, [45, 2.9], [44.9, 2.9], [45, 2.9], IDLE, [16, 60], IDLE)).toEqual([
      [1, 2],
      [6, 7],
    ])
  })

  it('is idle where use or clock fall to those of idle', () => {
    const beside = (of: Partial<PowerLevel>, then: Partial<PowerLevel>) =>
      work(IDLE, [100, 60, of], [40, 60, then], IDLE)
    expect(beside({ usePct: 100 }, { usePct: 7.9 })).toEqual([[1, 2]])
    expect(beside({ usePct: 100 }, { usePct: 8 })).toEqual([[1, 3]])
    expect(beside({ usePct: 20 }, { usePct: 6 })).toEqual([[1, 3]])
    expect(beside({ clockHz: 4e9 }, { clockHz: 1.5e9 })).toEqual([[1, 2]])
    expect(beside({ clockHz: 4e9 }, { clockHz: 1.6e9 })).toEqual([[1, 3]])
    expect(beside({ clockHz: 4e9 }, {})).toEqual([[1, 3]])
    expect(beside({}, { clockHz: 1e9 })).toEqual([[1, 3]])
  })
})
