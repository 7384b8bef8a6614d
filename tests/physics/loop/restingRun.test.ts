import { describe, expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { type LoopState, rememberedState, restedState, riseOf } from '../../../src/physics/loop/loopState.js'
import { restingRun, restsWithin, type ThreeEnds } from '../../../src/physics/loop/restingRun.js'
import { pause, simulateRun } from '../../../src/physics/loop/simulateRun.js'
import { PLAIN_MACHINE } from './plainMachine.js'

describe('three runs say when a loop comes to rest', () => {
  test('by what is left of a change that halves each time: 4 in 1000, less than 3e-5 after eight runs', () => {
    const ends: ThreeEnds = [[988], [996], [1000]]
    expect([6, 7, 8, 9].map((runs) => restsWithin(runs, ends))).toEqual([false, false, true, true])
  })

  test('and only if each value of the state does, falling or rising, none counted that is 0', () => {
    const both = (second: readonly [number, number, number]): ThreeEnds => [
      [1012, second[0], 0],
      [1004, second[1], 0],
      [1000, second[2], 0],
    ]
    expect(restsWithin(8, both([5, 5, 5]))).toBe(true)
    expect(restsWithin(8, both([-5.06, -5.02, -5]))).toBe(true)
    expect(restsWithin(8, both([-5.6, -5.2, -5]))).toBe(false)
  })

  test('by the value of which most is left, whatever the others do', () => {
    // Eight tenths of 8 in 1000: less than 3e-5 is left after 32 runs. The other one's change is over at once.
    const ends: ThreeEnds = [
      [1018, 1100],
      [1008, 1000],
      [1000, 1000],
    ]
    expect([30, 31, 32, 33].map((runs) => restsWithin(runs, ends))).toEqual([false, false, true, true])
  })

  test('and not where nine tenths of a change come again, however small it is', () => {
    expect(restsWithin(1e4, [[1e9 - 191], [1e9 - 91], [1e9]])).toBe(false)
    expect(restsWithin(1e4, [[1e9 - 189], [1e9 - 89], [1e9]])).toBe(true)
    expect(restsWithin(1e4, [[1e9], [1e9 - 10], [1e9]])).toBe(false)
  })
})

/** Never reaches its ceiling: each stage's rise then goes along exponentials of its own. */
const machineOf = (stages: readonly { rKPerW: number; tauS: number }[]): LoopMachine => ({
  ...PLAIN_MACHINE,
  idleW: 5,
  peakW: 105,
  heat: { stages, ceilingRiseK: 1e6 },
})
const PLAN = { runs: 99, gapS: 20, work: null, durationS: 60, rate: (w: number) => w }

/** The first runs of a loop: where it stands then, and what three of them left. */
function threeRuns(machine: LoopMachine): [LoopState, ThreeEnds] {
  const state = restedState(machine)
  const ends = [0, 1, 2].map((k) => {
    if (k > 0) pause(state, machine, PLAN.gapS)
    simulateRun(state, machine, PLAN, PLAN.rate)
    return rememberedState(state, machine)
  })
  return [state, ends as unknown as ThreeEnds]
}

/** A rise at the end of a run of 60 s at 105 W, after a pause of 20 s at 5 W, that the next run's end repeats. */
const atRest = ({ rKPerW, tauS }: { rKPerW: number; tauS: number }) => {
  const [run, gap] = [Math.exp(-60 / tauS), Math.exp(-20 / tauS)]
  return (rKPerW * (105 * (1 - run) + 5 * (1 - gap) * run)) / (1 - run * gap)
}

describe('the run that a loop comes to rest at', () => {
  test('is the fixed point of its exponential, found from three runs', () => {
    const stage = { rKPerW: 0.5, tauS: 400 }
    const [state, ends] = threeRuns(machineOf([stage]))
    const run = restingRun(machineOf([stage]), PLAN, state, ends)
    expect(run).toMatchObject({ energyJ: 6300, meanRate: 105, unfinished: false })
    expect(run!.durationS).toBeCloseTo(60, 9)
    expect(riseOf(state) / atRest(stage)).toBeCloseTo(1, 9)
  })

  test('is found to 3e-5 where exponentials of several lengths take part', () => {
    const stages = [
      { rKPerW: 0.4, tauS: 20 },
      { rKPerW: 0.5, tauS: 300 },
    ]
    const [state, ends] = threeRuns(machineOf(stages))
    expect(restingRun(machineOf(stages), PLAN, state, ends)).not.toBeNull()
    const [first, second] = state.risesK
    expect(Math.abs(first! / atRest(stages[0]!) - 1)).toBeLessThan(3e-5)
    expect(Math.abs(second! / atRest(stages[1]!) - 1)).toBeLessThan(3e-5)
  })

  test('is none where a run never ends', () => {
    const stage = { rKPerW: 0.5, tauS: 400 }
    const [state, ends] = threeRuns(machineOf([stage]))
    expect(restingRun(machineOf([stage]), { ...PLAN, work: 10, rate: () => 0 }, state, ends)).toBeNull()
  })
})
