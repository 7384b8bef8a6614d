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
type Heat = NonNullable<LoopMachine['heat']>
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

  test('are not those of a controller that still swings: the end is that of the whole loop', () => {
    const work = 50 * 40 ** 0.6
    const plan = { runs: 26, gapS: 0, work, durationS: 60, rate: (w: number) => w ** 0.6 }
    const controlled = (peakW: number, budgets: LoopMachine['budgets'], heat: Heat): LoopMachine => ({
      ...PLAIN_MACHINE,
      idleW: 3,
      peakW,
      responseS: peakW > 50 ? 0.5 : 4,
      budgets,
      heat,
    })
    const slow = controlled(
      36.715598381327425,
      [
        { limitW: 34.96723655364506, tauS: 9.333940969701041 },
        { limitW: 28.70933497292926, tauS: 23.2358167404153 },
      ],
      {
        stages: [
          { rKPerW: 0.5500496342242335, tauS: 4 },
          { rKPerW: 0.3, tauS: 658.7479751562636 },
        ],
        ceilingRiseK: 21.8471,
        control: { wPerK: 0.3572400549701497, wPerKS: 1.5 },
      },
    )
    const swinging = controlled(
      88.82677949601023,
      [
        { limitW: 73.5, tauS: 4.724575510632667 },
        { limitW: 70, tauS: 6.207766094654892 },
      ],
      {
        stages: [
          { rKPerW: 0.22952105685228907, tauS: 4 },
          { rKPerW: 0.47781628677516647, tauS: 250.32874378124907 },
        ],
        ceilingRiseK: 43.9815,
        control: { wPerK: 1.5498637738548142, wPerKS: 0.22009261891311382 },
      },
    )
    for (const machine of [slow, swinging]) {
      const whole = settlingRuns(machine, plan, null)
      const short = settlingRuns(machine, plan, 3)
      for (const k of [whole.length - 3, whole.length - 1]) {
        const run = short[Math.min(k, short.length - 1)]!
        expect(Math.abs(run.energyJ / whole[k]!.energyJ - 1)).toBeLessThan(1e-4)
      }
    }
  })

  test('are none where the loop is too short to come to rest in them', () => {
    const plan = { ...PLAN, runs: 7 }
    expect(settlingRuns(HEATED, plan, 3)).toEqual(settlingRuns(HEATED, plan, null))
    expect(settlingRuns(HEATED, PLAN, 60)).toEqual(settlingRuns(HEATED, PLAN, null))
    const kept = { ...PLAN, runs: 40 }
    expect(settlingRuns(HEATED, kept, 17)).toEqual(settlingRuns(HEATED, kept, null))
  })

  test('are none where the run at rest is not found: before heat holds the power nothing shows of it', () => {
    const plan = { ...PLAN, runs: 120 }
    expect(settlingRuns(HEATED, plan, 3)).toEqual(settlingRuns(HEATED, plan, null))
  })
})
