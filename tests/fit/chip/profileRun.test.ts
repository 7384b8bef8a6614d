import { describe, expect, it } from 'vitest'
import { profileOfLevels, profileRun } from '../../../src/fit/chip/profileRun.js'
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

describe('profileOfLevels', () => {
  it('takes levels noted by hand as they are', () => {
    const profile = profileOfLevels([
      { powerW: 96, seconds: 7 },
      { powerW: 58, seconds: 53 },
    ])
    expect(profile.meanW).toBeCloseTo((96 * 7 + 58 * 53) / 60, 10)
  })
})
