import { describe, expect, it } from 'vitest'
import type { Trace } from '../../src/log/trace.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { concludeStages } from '../../src/show/text/concludeStages.js'
import { randomStream } from '../worlds/randomStream.js'

/** A load from 20 s on in a log of one sample a second, with use; its power by seconds since it began. */
function trace(lengthS: number, powerAt: (s: number) => number, usePct = 50): Trace {
  const random = randomStream(7)
  const timesS = Float64Array.from({ length: lengthS + 40 }, (_, i) => i)
  const isWork = (i: number) => i > 20 && i <= 20 + lengthS
  return {
    timesS,
    powerW: timesS.map((_, i) => (isWork(i) ? powerAt(i - 20) : 5) + 0.2 * random.normal()),
    usePct: timesS.map((_, i) => (isWork(i) ? usePct : 1)),
    temperatureC: null,
    clockHz: null,
    intervalS: 1,
    startEpochS: null,
    startOfDayS: null,
  }
}

/** Scenes of 7 to 20 s, each with a power of its own: mean 40 W. */
const scenes = (s: number) => 40 + [6, -5, 2, -7, 4, -3, 8, -5][Math.floor((s * s ** 0.1) / 14) % 8]!

describe('a task that comes and goes, and asks for less than the machine could give', () => {
  it('is one stage with its mean, and says between what it moves', () => {
    const [load] = findLoads(trace(240, scenes))
    const { reached, levelW, bounds } = load!.sustained
    expect(load!.stages.map(({ label, shape }) => [label, shape])).toEqual([['sustained', 'level']])
    expect([reached, bounds]).toEqual([true, null])
    expect(levelW.value).toBeGreaterThan(39)
    expect(levelW.value).toBeLessThan(41)
    expect(load!.stages[0]!.heldBy.evidence.join()).toMatch(
      /up and down with the task, between 3\d\.\d and 4\d\.\d W/,
    )
    expect(concludeStages(load!)).toMatch(/^Sustains .* from start to end; the workload needs no more\.$/)
  })

  it('stays as it was found where it is short, has two long phases, a course, or may be held', () => {
    const stagesOf = (given: Trace) => findLoads(given)[0]!.stages.length
    expect(findLoads(trace(100, scenes))[0]!.sustained.reached).toBe(false)
    expect(stagesOf(trace(280, (s) => (s < 140 ? 50 : 30)))).toBe(2)
    expect(stagesOf(trace(240, (s) => 60 - 10 * Math.floor(s / 60)))).toBeGreaterThan(2)
    expect(stagesOf(trace(240, scenes, 100))).toBeGreaterThan(1)
  })
})
