import { describe, expect, test } from 'vitest'
import { loadCourse, runsAlong } from '../../../src/physics/loop/loadCourse.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { simulateLoop } from '../../../src/physics/loop/simulateLoop.js'
import type { LoopSegment } from '../../../src/physics/loop/simulateRun.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const BURSTS: LoopMachine = {
  ...PLAIN_MACHINE,
  budgets: [{ limitW: 60, tauS: 30 }],
  timedSteps: [{ limitW: 50, afterS: 100 }],
}
const BURST_S = 30 * Math.log(94 / 40)
const PLAN = { runs: 4, gapS: 0, work: null, durationS: 40, rate: (w: number) => w }

describe('the course of a load', () => {
  test('goes from limit to limit and then lasts for ever, in whichever order it is asked', () => {
    for (const places of [
      [0, 1, 2, 3, 9],
      [9, 3, 2, 1, 0],
    ]) {
      const course = loadCourse(BURSTS)
      const asked = new Map(places.map((place) => [place, course(place)]))
      expect(asked.get(0)!.powerW).toBeCloseTo(100, 10)
      expect(asked.get(0)!.forS).toBeCloseTo(BURST_S, 10)
      expect(asked.get(1)!.powerW).toBeCloseTo(60, 10)
      expect(asked.get(1)!.forS).toBeCloseTo(100 - BURST_S, 10)
      for (const place of [2, 3, 9]) expect(asked.get(place)).toEqual({ powerW: 50, forS: Infinity })
    }
  })

  test('takes the steps of a glide that lie within three per cent as one, at their mean', () => {
    const machine = { ...BURSTS, timedSteps: [], responseS: 2, budgets: [{ limitW: 60, tauS: 21 }] }
    const segments: LoopSegment[] = []
    simulateLoop(machine, { ...PLAN, runs: 1, durationS: 300 }, (segment) => segments.push(segment))
    const course = loadCourse(machine)
    let place = 0
    for (let i = 0; i < segments.length - 1; place++) {
      const group = [segments[i++]!]
      while (i < segments.length - 1 && segments[i]!.powerW >= 0.97 * group[0]!.powerW)
        group.push(segments[i++]!)
      const forS = group.reduce((sum, segment) => sum + segment.forS, 0)
      const energyJ = group.reduce((sum, segment) => sum + segment.forS * segment.powerW, 0)
      expect(course(place).forS).toBeCloseTo(forS, 9)
      expect(course(place).powerW).toBeCloseTo(energyJ / forS, 9)
    }
    expect(place).toBeLessThan(segments.length - 3)
    expect(course(place)).toEqual({ powerW: 60, forS: Infinity })
  })
})

describe('runs along a course', () => {
  test('take power, energy and time from it, and end with the first that all later ones repeat', () => {
    const runs = runsAlong(loadCourse(BURSTS), PLAN)
    expect(runs.map(({ startS }) => startS)).toEqual([0, 40, 80, 120])
    expect(runs[0]!.energyJ).toBeCloseTo(100 * BURST_S + 60 * (40 - BURST_S), 8)
    expect(runs[1]!.energyJ).toBeCloseTo(2400, 8)
    expect(runs[2]!.energyJ).toBeCloseTo(1200 + 1000, 8)
    expect(runs[2]!.meanRate).toBeCloseTo(55, 8)
    expect(runsAlong(loadCourse(BURSTS), { ...PLAN, runs: 20 })).toHaveLength(4)
    expect(runsAlong(loadCourse(BURSTS), { ...PLAN, runs: 2 })).toHaveLength(2)
  })

  test('end when their work is done, wherever that is', () => {
    const runs = runsAlong(loadCourse(BURSTS), { ...PLAN, work: 3600 })
    const firstS = BURST_S + (3600 - 100 * BURST_S) / 60
    expect(runs[0]!.durationS).toBeCloseTo(firstS, 9)
    expect(runs[1]!.startS).toBeCloseTo(firstS, 9)
    // The second ends at 50 W.
    const left = 3600 - 60 * (100 - firstS)
    expect(runs[1]!.durationS).toBeCloseTo(100 - firstS + left / 50, 9)
    expect(runs[2]!.durationS).toBeCloseTo(72, 9)
    expect(runs.every(({ unfinished }) => !unfinished)).toBe(true)
  })

  test('that never end are cut off after four months, and none follows', () => {
    const stuck = runsAlong(loadCourse(BURSTS), { ...PLAN, work: 1000, rate: (w) => (w > 55 ? 1 : 0) })
    expect(stuck).toHaveLength(1)
    expect(stuck[0]).toMatchObject({ unfinished: true, durationS: 1e7 })
    const slow = runsAlong(loadCourse(BURSTS), { ...PLAN, work: 100.5, rate: (w) => (w > 55 ? 1 : 1e-6) })
    expect(slow[0]).toMatchObject({ unfinished: false })
    expect(slow[0]!.durationS).toBeCloseTo(100 + 0.5e6, 3)
    expect(runsAlong(loadCourse(BURSTS), { ...PLAN, durationS: 9e7 })[0]!.unfinished).toBe(false)
  })
})
