import { describe, expect, it } from 'vitest'
import { profileOfLevels, profileOfRuns, profileRun } from '../../../src/fit/chip/profileRun.js'
import type { Trace } from '../../../src/log/trace.js'

/** One sample a second: rest at 6 W until 20 s, then 100 W. */
function trace(powerW: readonly number[], temperatureC: readonly number[] | null = null): Trace {
  return {
    timesS: Float64Array.from(powerW, (_, i) => i),
    powerW: Float64Array.from(powerW),
    temperatureC: temperatureC && Float64Array.from(temperatureC),
    clockHz: null,
    intervalS: 1,
    startEpochS: null,
    startOfDayS: null,
  }
}

const total = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0)

describe('profileRun', () => {
  it('weighs samples by the part of their interval that lies in the run', () => {
    const profile = profileRun(trace([0, 10, 20, 30, 40, 50, 60]), 2.5, 5.25)!
    expect(profile.secondsS).toEqual([0.5, 1, 1, 0.25])
    // The ends take the nearest whole samples: 40 and 50 W.
    expect(profile.powersW).toEqual([40, 40, 50, 50])
    expect(profile.meanW).toBeCloseTo((0.5 * 40 + 40 + 50 + 0.25 * 50) / 2.75, 10)
  })

  it('does not let the pause into the run through the sample that straddles its start', () => {
    const power = [6, 6, 6, 53, 100, 100, 100, 100, 53, 6, 6]
    expect(profileRun(trace(power), 2.5, 7.5)!.meanW).toBe(100)
  })

  it('forgives run times that are rounded to a whole second', () => {
    const power = [6, 6, 6, 30, 100, 100, 100, 100, 30, 6, 6]
    expect(profileRun(trace(power), 2, 8)!.meanW).toBe(100)
  })

  it('keeps a true fall of power inside a run', () => {
    const power = [6, 6, 100, 100, 100, 60, 60, 60, 60, 60, 6]
    const profile = profileRun(trace(power), 1, 9)!
    expect(profile.meanW).toBeCloseTo((3 * 100 + 5 * 60) / 8, 10)
    expect(total(profile.secondsS)).toBeCloseTo(8, 10)
  })

  it('is undefined where the log has no sample', () => {
    expect(profileRun(trace([6, 6, 6]), 10, 20)).toBeUndefined()
  })

  it('tells the mean temperature of a run, and none when most is missing', () => {
    const power = [6, 100, 100, 100, 100, 100]
    expect(profileRun(trace(power, [30, 50, 60, 70, 80, 90]), 0, 5)!.meanC).toBe(70)
    expect(profileRun(trace(power, [30, NaN, NaN, NaN, 80, 90]), 0, 5)!.meanC).toBeUndefined()
  })
})

describe('a run of instants', () => {
  it('has of each sample the halves of the intervals beside it', () => {
    const profile = profileRun(trace([60, 70, 80, 90, 100, 110, 120]), 1.75, 4.25, true)!
    expect(profile.powersW).toEqual([80, 90, 100])
    expect(profile.secondsS).toEqual([0.75, 1, 0.75])
    const ends = profileRun(trace([50, 50, 50, 50]), -5, 9, true)!
    expect(ends.secondsS).toEqual([1, 1, 1, 1])
    expect(profileRun(trace([50, 50, 50]), 2.5, 9, true)).toBeUndefined()
  })

  it('takes the power inside for the part of a sample outside', () => {
    const profile = profileRun(trace([6, 6, 100, 100, 100, 6, 6]), 1.6, 4.4, true)!
    expect(profile.powersW).toEqual([100, 100, 100])
    expect(total(profile.secondsS)).toBeCloseTo(2.8, 9)
    const near = trace([6, 90, 100, 100, 100, 90, 6])
    expect(profileRun(near, 1.4, 4.6, true)!.powersW).toEqual([100, 100, 100, 100, 100])
    expect(profileRun(near, 0.5, 4.5)!.powersW).toEqual([100, 100, 100, 100, 100])
  })
})

describe('the ends of a run', () => {
  it('lose two samples each that mix with a pause, and no more', () => {
    expect(profileRun(trace([6, 20, 50, 100, 100, 100, 50, 20, 6]), 0, 7)!.meanW).toBe(100)
    const slow = profileRun(trace([6, 10, 20, 50, 100, 100, 100, 100]), 0, 7)!
    expect(slow.meanW).toBeCloseTo((3 * 50 + 4 * 100) / 7, 9)
    expect(profileRun(trace([6, 81, 100, 100, 100]), 0, 4)!.meanW).toBeCloseTo(381 / 4, 9)
  })

  it('may lie beyond those of the log, and samples without power tell nothing', () => {
    expect(profileRun(trace([50, 60, 70]), -9, 30)!.secondsS).toEqual([1, 1, 1])
    expect(profileRun(trace([6, 100, Number.NaN, 100, 100]), 0, 4)!.meanW).toBe(100)
    expect(profileRun(trace([6, Number.NaN, Number.NaN]), 0, 2)).toBeUndefined()
  })
})

describe('the power that warmth answers to', () => {
  it('comes from rest by the time constants of a die, its pipe and its sink', () => {
    const power = [10, ...new Array<number>(400).fill(110)]
    const at = (s: number) => {
      const left = 0.2 * Math.exp(-s / 3) + 0.3 * Math.exp(-s / 30) + 0.5 * Math.exp(-s / 200)
      return 10 + 100 * (1 - left)
    }
    const log = trace(power)
    expect(profileRun(log, 0, 1)!.warmingW).toBeCloseTo(at(1), 9)
    expect(profileRun(log, 99, 100)!.warmingW).toBeCloseTo(at(100), 9)
    expect(profileRun(log, 0, 3)!.warmingW).toBeCloseTo((at(1) + at(2) + at(3)) / 3, 9)
    const uneven = { ...log, timesS: log.timesS.map((s) => (s > 50 ? s + 7 : s)) }
    expect(profileRun(uneven, 106, 107)!.warmingW).toBeCloseTo(at(107), 9)
  })
})

describe('a mean over runs', () => {
  const runs = [
    { powersW: [100], secondsS: [10], meanW: 100, meanC: 70, warmingW: 80 },
    { powersW: [60, 40], secondsS: [20, 10], meanW: 160 / 3, meanC: 80, warmingW: 60 },
  ]

  it('of rates counts each alike, of times by how long it took', () => {
    const rates = profileOfRuns(runs, false)!
    expect(rates.meanW).toBeCloseTo((100 + 160 / 3) / 2, 9)
    expect(rates.powersW).toEqual([100, 60, 40])
    expect(rates.secondsS).toEqual([20, 40 / 3, 20 / 3].map((s) => expect.closeTo(s, 9)))
    expect(rates).toMatchObject({ meanC: 75, warmingW: 70, lastWarmingW: 60 })
    const times = profileOfRuns(runs, true)!
    expect(times.secondsS).toEqual([10, 20, 10])
    expect(times.meanW).toBeCloseTo((1000 + 1600) / 40, 9)
    expect(times.meanC).toBeCloseTo((700 + 2400) / 40, 9)
  })

  it('has a temperature where all of its runs have, and is none without runs', () => {
    const { meanC: _, warmingW: __, ...bare } = runs[1]!
    const mixed = profileOfRuns([runs[0]!, bare], false)!
    expect(Object.keys(mixed)).toEqual(['powersW', 'secondsS', 'meanW'])
    expect(profileOfRuns([], false)).toBeUndefined()
  })
})

describe('profileOfLevels', () => {
  it('takes levels noted by hand as they are', () => {
    const profile = profileOfLevels([
      { powerW: 96, seconds: 7 },
      { powerW: 58, seconds: 53 },
    ])
    expect(profile.meanW).toBeCloseTo((96 * 7 + 58 * 53) / 60, 10)
  })

  it('has a mean temperature where each level has one', () => {
    const level = (temperatureC?: number | null) => ({
      powerW: 60,
      seconds: 10,
      ...(temperatureC === undefined ? {} : { temperatureC }),
    })
    expect(profileOfLevels([level(70), { ...level(80), seconds: 30 }]).meanC).toBe(77.5)
    expect(profileOfLevels([level(70), level(null)])).not.toHaveProperty('meanC')
    expect(profileOfLevels([level(70), level()])).not.toHaveProperty('meanC')
  })
})
