import { describe, expect, test } from 'vitest'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { settlingRuns } from '../../../src/physics/loop/settlingRuns.js'
import { PLAIN_MACHINE } from './plainMachine.js'

/** Comes to a limit that its average meets in the second run. */
const BUDGET: LoopMachine = { ...PLAIN_MACHINE, idleW: 5, budgets: [{ limitW: 60, tauS: 80 }] }
/** Its temperature comes near to its ceiling over half an hour, and is held there. */
const HEATED: LoopMachine = {
  ...BUDGET,
  budgets: [],
  heat: {
    stages: [
      { rKPerW: 0.3, tauS: 10 },
      { rKPerW: 0.6, tauS: 600 },
    ],
    ceilingRiseK: 60,
    control: { wPerK: 2, wPerKS: 0.3 },
  },
}
const PLAN = { runs: 60, gapS: 5, work: null, durationS: 60, rate: (w: number) => w }

describe('runs of a loop that settles', () => {
  test('end with the first that leaves everything as the one before did', () => {
    // Without pauses the average stays at its limit from the second run on; the third repeats it.
    const runs = settlingRuns(BUDGET, { ...PLAN, gapS: 0 }, null)
    expect(runs).toHaveLength(3)
    expect(runs[2]!.energyJ).toBeCloseTo(3600, 8)
    expect(runs.map(({ startS }) => startS)).toEqual([0, 60, 120])
  })

  test('are separated by the pause, and never more than planned', () => {
    const runs = settlingRuns(HEATED, { ...PLAN, runs: 5 }, null)
    expect(runs).toHaveLength(5)
    for (const [k, run] of runs.entries()) expect(run.startS).toBeCloseTo(65 * k, 6)
  })

  test('end with one that never ends', () => {
    const stuck = settlingRuns(HEATED, { ...PLAN, work: 10, rate: () => 0 }, null)
    expect(stuck.map(({ unfinished }) => unfinished)).toEqual([true])
  })
})

describe('runs that are passed over', () => {
  test('are those in which a loop only comes to rest: the last is the one at rest', () => {
    const whole = settlingRuns(HEATED, PLAN, null)
    const short = settlingRuns(HEATED, PLAN, 3)
    expect(short.length).toBeLessThan(whole.length / 2)
    expect(short.slice(0, -1)).toEqual(whole.slice(0, short.length - 1))
    expect(Math.abs(short.at(-1)!.energyJ / whole.at(-1)!.energyJ - 1)).toBeLessThan(5e-5)
  })

  test('are none where the loop is too short to come to rest in them', () => {
    const plan = { ...PLAN, runs: 7 }
    expect(settlingRuns(HEATED, plan, 3)).toEqual(settlingRuns(HEATED, plan, null))
    expect(settlingRuns(HEATED, PLAN, 60)).toEqual(settlingRuns(HEATED, PLAN, null))
  })
})
