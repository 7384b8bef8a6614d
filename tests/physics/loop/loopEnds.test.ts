import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { budgetsFromLimits } from '../../../src/physics/loop/budgetsFromLimits.js'
import { loopsIn } from '../../../src/physics/loop/loopEnds.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { simulateLoop } from '../../../src/physics/loop/simulateLoop.js'
import type { LoopRun } from '../../../src/physics/loop/simulateRun.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const machines = fc
  .record({
    sustainedW: fc.double({ min: 20, max: 70, noNaN: true }),
    shortTerm: fc.double({ min: 1.05, max: 1.5, noNaN: true }),
    burst: fc.double({ min: 1.05, max: 1.9, noNaN: true }),
    burstForS: fc.double({ min: 1.5, max: 60, noNaN: true }),
    shortTermForS: fc.double({ min: 5, max: 400, noNaN: true }),
    responseS: fc.constantFrom(0, 0.5, 1.5, 4),
    givesWay: fc.constantFrom('headroom' as const, 'latch' as const),
    stepAfterS: fc.constantFrom(null, 40, 300),
  })
  .map(({ stepAfterS, ...m }): LoopMachine => {
    const shortTermW = m.sustainedW * m.shortTerm
    const limits = { ...m, shortTermW, burstW: shortTermW * m.burst }
    const habits = { idleW: 3, responseS: m.responseS, givesWay: m.givesWay }
    const timedSteps = stepAfterS === null ? [] : [{ limitW: 0.9 * m.sustainedW, afterS: stepAfterS }]
    return {
      ...habits,
      peakW: limits.burstW,
      budgets: budgetsFromLimits(limits, habits),
      heat: null,
      timedSteps,
    }
  })

const PLAN = { runs: 12, gapS: 0, work: 50 * 40 ** 0.6, durationS: 60, rate: (w: number) => w ** 0.6 }

/**
 * By how many joules two ways to cut a glide may part over a run, in a machine without heat. Each takes the glide's mean power between its
 * cuts. Of power that falls by D over a stretch of T seconds the energy up to a moment within it is off by D T / 8 at most where the fall is
 * straight, D T / 4 where it is a step. A stretch is half a response with 1 - exp(-1/2) of the fall, or a band of 3 % down to the 0.5 %
 * where a glide is over, ln 6 responses. A run has two ends, and there are two ways.
 */
function partedJ({ responseS, peakW, budgets, timedSteps }: LoopMachine): number {
  const lowestW = Math.min(...[...budgets, ...timedSteps].map(({ limitW }) => limitW))
  const oneStepJ = ((peakW - lowestW) * -Math.expm1(-0.5) * 0.5 * responseS) / 8
  const bandJ = (0.03 * peakW * Math.log(6) * responseS) / 4
  return 4 * Math.max(oneStepJ, bandJ)
}

/** A machine that draws 60 W and nothing else. */
const UNLIMITED: LoopMachine = { ...PLAIN_MACHINE, idleW: 3, peakW: 60 }

describe('loops that share what one machine does over time', () => {
  test('say the same as a loop simulated by itself, fast chip or slow', () => {
    fc.assert(
      fc.property(
        machines,
        fc.double({ min: 0.2, max: 4, noNaN: true }),
        fc.boolean(),
        (machine, speed, timed) => {
          const loops = loopsIn(machine)
          // Another chip first: whatever it left behind must not change the next one's runs.
          loops({ ...PLAN, rate: (w) => 3 * w ** 0.4 })
          const plan = { ...PLAN, work: timed ? PLAN.work : null, rate: (w: number) => speed * w ** 0.6 }
          const ends = loops(plan)
          const alone = simulateLoop(machine, plan)
          expect(ends.count).toBe(12)
          expect(ends.last).toHaveLength(3)
          for (const [run, other] of [
            [ends.first, alone[0]!] as const,
            ...ends.last.map((r, k) => [r, alone[9 + k]!] as const),
          ]) {
            const parted = partedJ(machine) / other.energyJ + 1e-9
            expect(Math.abs(run.meanRate / other.meanRate - 1)).toBeLessThan(parted)
            expect(Math.abs(run.energyJ / other.energyJ - 1)).toBeLessThan(parted)
            if (timed) expect(run.meanRate * run.durationS).toBeCloseTo(PLAN.work, 6)
          }
        },
      ),
      { numRuns: 200 },
    )
  })

  test('agree to six digits where no run ends within a glide', () => {
    const limits = { burstW: 96, burstForS: 9, shortTermW: 58, shortTermForS: 20, sustainedW: 44 }
    const habits = { idleW: 4.7, responseS: 0.72, givesWay: 'headroom' as const }
    const machine = {
      ...habits,
      peakW: 96,
      budgets: budgetsFromLimits(limits, habits),
      heat: null,
      timedSteps: [],
    }
    const ends = loopsIn(machine)({ ...PLAN, work: 700 })
    const alone = simulateLoop(machine, { ...PLAN, work: 700 })
    expect(Math.abs(ends.first.durationS / alone[0]!.durationS - 1)).toBeLessThan(1e-5)
    expect(Math.abs(ends.last[2]!.durationS / alone[11]!.durationS - 1)).toBeLessThan(1e-9)
    expect(Math.abs(ends.first.energyJ / alone[0]!.energyJ - 1)).toBeLessThan(1e-5)
  })

  test('with pauses or under heat are simulated one by one, to the same runs', () => {
    const habits = { idleW: 3, responseS: 1, givesWay: 'headroom' as const }
    const budgets = [{ limitW: 45, tauS: 28 }]
    const cool = { ...habits, peakW: 90, budgets, heat: null, timedSteps: [] }
    const stages = [
      { rKPerW: 0.4, tauS: 4 },
      { rKPerW: 0.7, tauS: 120 },
    ]
    for (const [machine, gapS] of [
      [cool, 7],
      [{ ...cool, heat: { stages, ceilingRiseK: 44 } }, 0],
    ] as const) {
      const plan = { ...PLAN, gapS }
      const alone = simulateLoop(machine, plan)
      const ends = loopsIn(machine)(plan)
      expect(ends.first).toEqual(alone[0])
      expect(ends.last.map(({ energyJ, durationS }) => [energyJ, durationS])).toEqual(
        alone.slice(-3).map(({ energyJ, durationS }) => [energyJ, durationS]),
      )
    }
  })

  test('that come to rest say the same as when every run is simulated', () => {
    const heats = fc.record({
      fastR: fc.double({ min: 0.1, max: 0.6, noNaN: true }),
      slowR: fc.double({ min: 0.3, max: 0.9, noNaN: true }),
      slowS: fc.double({ min: 60, max: 900, noNaN: true }),
      wPerK: fc.double({ min: 0.2, max: 3, noNaN: true }),
      wPerKS: fc.double({ min: 0.02, max: 1.5, noNaN: true }),
      restsInPauses: fc.boolean(),
    })
    fc.assert(
      fc.property(machines, heats, fc.boolean(), fc.constantFrom(0, 2, 7, 40), (cool, h, heated, gapS) => {
        const { fastR, slowR, slowS, ...control } = h
        const stages = [
          { rKPerW: fastR, tauS: 4 },
          { rKPerW: slowR, tauS: slowS },
        ]
        const heat = { stages, ceilingRiseK: 0.7 * (fastR + slowR) * cool.peakW, control }
        const machine = heated ? { ...cool, heat } : cool
        const plan = { ...PLAN, runs: 26, gapS }
        const { last } = loopsIn(machine)(plan)
        const alone = simulateLoop(machine, plan)
        const meanW = (runs: readonly LoopRun[]) =>
          runs.reduce((sum, run) => sum + run.energyJ, 0) / runs.reduce((sum, run) => sum + run.durationS, 0)
        const parted = gapS > 0 || heated ? 2e-4 : partedJ(machine) / last[0]!.energyJ + 1e-9
        expect(Math.abs(meanW(last) / meanW(alone.slice(-3)) - 1)).toBeLessThan(parted)
      }),
      { numRuns: 150 },
    )
  })

  test('of fewer than three runs have all of them as their last', () => {
    expect(loopsIn(UNLIMITED)({ ...PLAN, runs: 2 }).last).toHaveLength(2)
    expect(loopsIn(UNLIMITED)({ ...PLAN, runs: 1 }).last).toHaveLength(1)
  })

  test('that never end are said to be unfinished', () => {
    expect(loopsIn(UNLIMITED)({ ...PLAN, rate: () => 1e-9 }).last.at(-1)!.unfinished).toBe(true)
    expect(loopsIn(UNLIMITED)({ ...PLAN, rate: () => 0 }).last.at(-1)!.unfinished).toBe(true)
  })
})
