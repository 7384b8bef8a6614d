import { describe, expect, it } from 'vitest'
import { findGaps } from '../../src/segment/findGaps.js'
import { traceOf } from './makeSteps.js'

/** A log with a sample a second that pauses once after 200 s; work at 100 W from 100 to 300 s of its samples. */
function gaps(forS: number, { atS = 200, idleFrom = 300, loadS = 200, level = 100 } = {}) {
  const timesS = Float64Array.from({ length: 400 }, (_, i) => (i <= atS ? i : i + forS - 1))
  const powerW = timesS.map((_, i) => (i > 100 && i <= idleFrom ? 100 : 10))
  const load = { startS: 100, endS: 100 + loadS, sustained: { levelW: { value: level } } }
  return findGaps(traceOf(timesS, powerW), [load] as never)
}

describe('a pause of the logger', () => {
  it('is longer than ten of its intervals and 5 s', () => {
    expect(gaps(10)).toEqual([])
    expect(gaps(11)).toEqual([{ atS: 200, forS: 11, place: 'load', hidesStage: true }])
  })

  it('hides a stage when it lasts half a minute, or a twentieth of the longest load', () => {
    expect(gaps(20, { loadS: 400 })[0]!.hidesStage).toBe(false)
    expect(gaps(21, { loadS: 400 })[0]!.hidesStage).toBe(true)
    expect(gaps(30, { loadS: 4000 })[0]!.hidesStage).toBe(true)
    expect(gaps(29, { loadS: 4000 })[0]!.hidesStage).toBe(false)
  })

  it('lies in a load when a third of the minute around it is work', () => {
    // Of the 60 samples within 30 s of it, those at work before it: 29 down to 21 or 20.
    expect(gaps(40, { idleFrom: 190 })[0]!.place).toBe('between')
    expect(gaps(40, { idleFrom: 192 })[0]!.place).toBe('load')
    expect(gaps(40, { atS: 350 })[0]!.place).toBe('between')
  })

  it('counts as work above half of what loads sustain', () => {
    expect(gaps(40, { level: 199 })[0]!.place).toBe('load')
    expect(gaps(40, { level: 200 })[0]!.place).toBe('between')
  })

  it('is a clock that was set where it lasts ten minutes within a load', () => {
    expect(gaps(600)[0]!.place).toBe('jump')
    expect(gaps(599)[0]!.place).toBe('load')
    expect(gaps(600, { atS: 350 })[0]!.place).toBe('between')
  })

  it('lies between loads where there are none', () => {
    const timesS = Float64Array.of(0, 1, 2, 3, 100, 101)
    expect(findGaps(traceOf(timesS, new Float64Array(6).fill(50)), [])).toEqual([
      { atS: 3, forS: 97, place: 'between', hidesStage: true },
    ])
  })
})
