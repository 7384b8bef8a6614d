import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { budgetsFromLimits, type HeldLimits } from '../../../src/physics/loop/budgetsFromLimits.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import { simulateLoop } from '../../../src/physics/loop/simulateLoop.js'
import type { LoopSegment } from '../../../src/physics/loop/simulateRun.js'
import { evenDoubles } from '../../evenDoubles.js'
import { PLAIN_MACHINE } from './plainMachine.js'

const ONE_LOAD = { runs: 1, gapS: 0, work: null, durationS: 900, rate: (w: number) => w }
const LIMITS: HeldLimits = { burstW: 100, burstForS: 12, shortTermW: 80, shortTermForS: 140, sustainedW: 60 }

/** When power is half way down from each level, s: what a reader of the trace calls the end of a hold. */
function halfWays(machine: LoopMachine, levelsW: readonly number[]): number[] {
  const segments = tracedBy(machine, ONE_LOAD)
  return levelsW.slice(1).map((levelW, i) => {
    const middleW = (levelW + levelsW[i]!) / 2
    return segments.find((segment) => segment.powerW < middleW)!.startS
  })
}

function tracedBy(machine: LoopMachine, plan: Parameters<typeof simulateLoop>[1]): LoopSegment[] {
  const segments: LoopSegment[] = []
  simulateLoop(machine, plan, (segment) => segments.push(segment))
  return segments
}

describe('a load that nothing holds down', () => {
  test('runs at its peak, and each run takes work over rate', () => {
    const runs = simulateLoop(PLAIN_MACHINE, { runs: 3, gapS: 5, work: 4000, durationS: 60, rate: (w) => w })
    expect(runs.map((run) => run.durationS)).toEqual([40, 40, 40])
    expect(runs.map((run) => run.startS)).toEqual([0, 45, 90])
    expect(runs.every((run) => run.energyJ === 4000 && run.meanRate === 100)).toBe(true)
  })
})

describe('budgets made from holds', () => {
  test.each([0, 0.8, 1.5])('hold each level for the time asked, with a response of %d s', (responseS) => {
    const habits = { idleW: 6, responseS, givesWay: 'headroom' as const }
    const machine = { ...PLAIN_MACHINE, ...habits, budgets: budgetsFromLimits(LIMITS, habits) }
    const [first, second] = halfWays(machine, [100, 80, 60])
    // Glides are cut into steps of half a response time.
    expect(Math.abs(first! - 12)).toBeLessThan(responseS / 2 + 1e-6)
    expect(Math.abs(second! - 152)).toBeLessThan(responseS / 2 + 1e-3)
  })

  test('also when the budget latches', () => {
    const habits = { idleW: 6, responseS: 1, givesWay: 'latch' as const }
    const machine = { ...PLAIN_MACHINE, ...habits, budgets: budgetsFromLimits(LIMITS, habits) }
    const [first, second] = halfWays(machine, [100, 80, 60])
    expect(Math.abs(first! - 12)).toBeLessThan(0.6)
    expect(Math.abs(second! - 152)).toBeLessThan(0.6)
  })

  test('a flat target needs none', () => {
    const flat = { burstW: 60, burstForS: null, shortTermW: null, shortTermForS: null, sustainedW: 60 }
    expect(budgetsFromLimits(flat, { idleW: 6, responseS: 1, givesWay: 'headroom' })).toEqual([])
  })

  test('after a pause the burst comes back for as long as the average needs to fill again', () => {
    const tauS = 30
    const machine = { ...PLAIN_MACHINE, budgets: [{ limitW: 60, tauS }] }
    const plan = { runs: 2, gapS: 10, work: null, durationS: 200, rate: (w: number) => w }
    const segments = tracedBy(machine, plan)
    const again = segments.find((segment) => segment.startS > 205 && segment.powerW === 100)!
    const atStartW = 6 + (60 - 6) * Math.exp(-10 / tauS)
    expect(again.forS).toBeCloseTo(tauS * Math.log((100 - atStartW) / (100 - 60)), 6)
  })

  test('a pause longer than every time constant makes the second run like the first', () => {
    const machine = { ...PLAIN_MACHINE, budgets: [{ limitW: 60, tauS: 9 }], responseS: 1 }
    const [first, second] = simulateLoop(machine, { ...ONE_LOAD, runs: 2, gapS: 500, durationS: 60 })
    expect(second!.energyJ).toBeCloseTo(first!.energyJ, 6)
  })
})

/** The same machine by brute force: small steps, no closed forms. */
function byEuler(
  machine: LoopMachine,
  durationS: number,
  stepS: number,
): { energyJ: number; levelW: number } {
  const averages = machine.budgets.map(() => machine.idleW)
  const rises = (machine.heat?.stages ?? []).map((stage) => stage.rKPerW * machine.idleW)
  let energyJ = 0
  let levelW = 0
  for (let i = 0; i < durationS / stepS; i++) {
    levelW = machine.peakW
    machine.budgets.forEach(({ limitW, tauS }, j) => {
      const gain = machine.responseS > 0 ? tauS / machine.responseS - 1 : Number.POSITIVE_INFINITY
      const headroomW = limitW - averages[j]!
      const allowedW =
        gain === Number.POSITIVE_INFINITY ? (headroomW > 0 ? 1e9 : limitW) : limitW + headroomW * gain
      levelW = Math.min(levelW, Math.max(limitW, allowedW))
    })
    const { heat } = machine
    if (heat && rises.reduce((a, b) => a + b, 0) >= heat.ceilingRiseK) {
      // Pinned: what flows out of the stages flows in.
      const out = heat.stages.reduce((sum, stage, j) => sum + rises[j]! / stage.tauS, 0)
      const per = heat.stages.reduce((sum, stage) => sum + stage.rKPerW / stage.tauS, 0)
      levelW = Math.min(levelW, out / per)
    }
    energyJ += levelW * stepS
    machine.budgets.forEach(({ tauS }, j) => {
      averages[j] = averages[j]! + ((levelW - averages[j]!) * stepS) / tauS
    })
    heat?.stages.forEach((stage, j) => {
      rises[j] = rises[j]! + ((stage.rKPerW * levelW - rises[j]!) * stepS) / stage.tauS
    })
  }
  return { energyJ, levelW }
}

describe('against a thousand small steps a second', () => {
  const stages = [
    { rKPerW: 0.25, tauS: 3 },
    { rKPerW: 0.35, tauS: 25 },
    { rKPerW: 0.5, tauS: 200 },
  ]
  const held = (responseS: number): Partial<LoopMachine> => ({
    responseS,
    budgets: budgetsFromLimits(LIMITS, { ...PLAIN_MACHINE, responseS }),
  })
  const ceiling = { heat: { stages, ceilingRiseK: 70 } }
  // Made within the test, so that a fault in the making fails a test and not the file.
  const cases: [string, () => Partial<LoopMachine>][] = [
    ['two budgets', () => held(0)],
    ['two budgets that give way with their headroom', () => held(1.2)],
    ['a ceiling', () => ceiling],
    ['a budget, then a ceiling', () => ({ budgets: [{ limitW: 85, tauS: 8 }], ...ceiling })],
  ]
  test.each(cases)('%s: energy within 0.1 %%, last power within 0.2 %%', (_, made) => {
    const machine = { ...PLAIN_MACHINE, ...made() }
    const durationS = 400
    const euler = byEuler(machine, durationS, 0.001)
    const segments = tracedBy(machine, { ...ONE_LOAD, durationS })
    const energyJ = segments.reduce((sum, segment) => sum + segment.powerW * segment.forS, 0)
    expect(Math.abs(energyJ / euler.energyJ - 1)).toBeLessThan(0.001)
    expect(Math.abs(segments.at(-1)!.powerW / euler.levelW - 1)).toBeLessThan(0.002)
  })
})

describe('heat', () => {
  const stages = [
    { rKPerW: 0.4, tauS: 4 },
    { rKPerW: 0.7, tauS: 120 },
  ]

  test('ends at the power that the ceiling allows for ever, with a controller or without', () => {
    for (const control of [null, { wPerK: 2, wPerKS: 0.3 }]) {
      const machine = { ...PLAIN_MACHINE, heat: { stages, ceilingRiseK: 66, control } }
      const last = tracedBy(machine, { ...ONE_LOAD, durationS: 3000 }).at(-1)!
      expect(Math.abs(last.powerW - 60)).toBeLessThan(0.05)
    }
  })

  test('that never reaches its ceiling changes nothing', () => {
    const cool = { ...PLAIN_MACHINE, heat: { stages, ceilingRiseK: 200 } }
    expect(simulateLoop(cool, ONE_LOAD)).toEqual(simulateLoop(PLAIN_MACHINE, ONE_LOAD))
  })
})

describe('a timed step', () => {
  const machine = { ...PLAIN_MACHINE, timedSteps: [{ limitW: 70, afterS: 50 }] }

  test('comes a set time after the load began, whatever the power before', () => {
    const segments = tracedBy(machine, { ...ONE_LOAD, durationS: 80 })
    expect(segments.map((segment) => [segment.startS, segment.powerW])).toEqual([
      [0, 100],
      [50, 70],
    ])
  })

  test('outlasts a short pause and begins anew after a long one', () => {
    const energies = (gapS: number) =>
      simulateLoop(machine, { ...ONE_LOAD, runs: 2, gapS, durationS: 60 }).map((run) => run.energyJ)
    expect(energies(10)[1]).toBeCloseTo(60 * 70, 6)
    expect(energies(40)[1]).toBeCloseTo(50 * 100 + 10 * 70, 6)
  })
})

describe('whatever the machine', () => {
  const machines = fc.record({
    sustainedW: fc.double({ min: 20, max: 70, noNaN: true }),
    shortTerm: fc.double({ min: 1.05, max: 1.5, noNaN: true }),
    burst: fc.double({ min: 1.05, max: 1.6, noNaN: true }),
    burstForS: fc.double({ min: 1.5, max: 60, noNaN: true }),
    shortTermForS: fc.double({ min: 5, max: 400, noNaN: true }),
    responseS: fc.constantFrom(0, 0.5, 1.5),
    gapS: fc.constantFrom(0, 3, 12),
  })
  const built = (m: typeof machines extends fc.Arbitrary<infer T> ? T : never) => {
    const shortTermW = m.sustainedW * m.shortTerm
    const limits = { ...m, shortTermW, burstW: shortTermW * m.burst }
    const habits = { idleW: 3, responseS: m.responseS, givesWay: 'headroom' as const }
    return { ...PLAIN_MACHINE, ...habits, peakW: limits.burstW, budgets: budgetsFromLimits(limits, habits) }
  }
  const loop = (gapS: number) => ({
    runs: 8,
    gapS,
    work: 50 * 40 ** 0.5,
    durationS: 60,
    rate: (w: number) => w ** 0.5,
  })

  test('energy is mean power times time, time never stands still, and power stays between idle and peak', () => {
    fc.assert(
      fc.property(machines, (m) => {
        const machine = built(m)
        const segments: LoopSegment[] = []
        const runs = simulateLoop(machine, loop(m.gapS), (segment) => segments.push(segment))
        const worked = segments.filter((segment) => segment.powerW > machine.idleW)
        const energyJ = worked.reduce((sum, segment) => sum + segment.powerW * segment.forS, 0)
        expect(runs.reduce((sum, run) => sum + run.energyJ, 0)).toBeCloseTo(energyJ, 6)
        for (const { forS, powerW } of segments) {
          expect(forS).toBeGreaterThan(0)
          expect(powerW).toBeLessThanOrEqual(machine.peakW * (1 + 1e-9))
        }
      }),
      { numRuns: 60 },
    )
  })

  test('a loop that nobody follows is cut short where it repeats, and says the same as one run to its end', () => {
    fc.assert(
      fc.property(machines, fc.boolean(), (m, heated) => {
        const stages = [
          { rKPerW: 0.5, tauS: 9 },
          { rKPerW: 0.8, tauS: 150 },
        ]
        const control = { wPerK: 1.5, wPerKS: 0.2 }
        const heat = heated ? { stages, ceilingRiseK: 1.2 * m.sustainedW, control } : null
        const machine = { ...built(m), heat }
        const plan = { ...loop(m.gapS), runs: 40 }
        const whole = simulateLoop(machine, plan, () => {})
        const short = simulateLoop(machine, plan)
        expect(short).toHaveLength(whole.length)
        for (const [k, run] of short.entries()) {
          expect(Math.abs(run.energyJ / whole[k]!.energyJ - 1)).toBeLessThan(1e-5)
          expect(Math.abs(run.meanRate / whole[k]!.meanRate - 1)).toBeLessThan(1e-5)
          expect(Math.abs(run.startS - whole[k]!.startS)).toBeLessThan(1e-4 * plan.runs)
        }
      }),
      { numRuns: 60 },
    )
  })

  test('every run does the same work, and the last is never faster than the first', () => {
    fc.assert(
      fc.property(machines, (m) => {
        const runs = simulateLoop(built(m), loop(m.gapS))
        for (const run of runs) expect(run.meanRate * run.durationS).toBeCloseTo(50 * 40 ** 0.5, 6)
        expect(runs.at(-1)!.meanRate).toBeLessThanOrEqual(runs[0]!.meanRate * (1 + 1e-6))
      }),
      { numRuns: 60 },
    )
  })

  test('a longer hold never lowers the first run', () => {
    fc.assert(
      fc.property(machines, fc.double({ min: 1.01, max: 4, noNaN: true }), (m, longer) => {
        // A glide as long as the hold leaves no hold to lengthen.
        fc.pre(m.burstForS > 2 * m.responseS)
        const rate = (machine: LoopMachine) => simulateLoop(machine, loop(m.gapS))[0]!.meanRate
        expect(rate(built({ ...m, burstForS: m.burstForS * longer }))).toBeGreaterThanOrEqual(
          rate(built(m)) * (1 - 2e-3),
        )
      }),
      { numRuns: 60 },
    )
  })
})

describe('a heat controller between runs', () => {
  const stages = [
    { rKPerW: 0.4, tauS: 4 },
    { rKPerW: 0.7, tauS: 120 },
  ]
  const firstSecond = (restsInPauses: boolean) => {
    const heat = { stages, ceilingRiseK: 66, control: { wPerK: 2, wPerKS: 0.3, restsInPauses } }
    const plan = { ...ONE_LOAD, runs: 6, gapS: 3, durationS: 90 }
    const runs = simulateLoop({ ...PLAIN_MACHINE, heat }, plan)
    return runs.at(-1)!.energyJ
  }

  test('that remembers gives less after a short pause than one that rests in it', () => {
    expect(firstSecond(false)).toBeLessThan(0.99 * firstSecond(true))
  })

  test('has forgotten everything after a long one', () => {
    const heat = { stages, ceilingRiseK: 66, control: { wPerK: 2, wPerKS: 0.3 } }
    const [first, second] = simulateLoop(
      { ...PLAIN_MACHINE, heat },
      { ...ONE_LOAD, runs: 2, gapS: 3000, durationS: 200 },
    )
    expect(second!.energyJ).toBeCloseTo(first!.energyJ, 3)
  })
})

describe('a latched budget', () => {
  const machine = { ...PLAIN_MACHINE, givesWay: 'latch' as const, budgets: [{ limitW: 60, tauS: 100 }] }
  const secondRun = (gapS: number) =>
    simulateLoop(machine, { ...ONE_LOAD, runs: 2, gapS, durationS: 300 })[1]!.energyJ / 300

  test('gives no burst before its average has fallen by 3 %', () => {
    // 54 W above idle fall by 1.8 W in 100 ln(54 / 52.2) = 3.4 s.
    expect(secondRun(3)).toBeCloseTo(60, 6)
    expect(secondRun(4)).toBeGreaterThan(60.5)
  })
})

describe('a heat controller of any gain over any network', () => {
  const stage = fc.record({
    rKPerW: fc.double({ min: 0.02, max: 1.5, noNaN: true }),
    // From a die that follows the power at once to a case that takes ten minutes.
    tauS: evenDoubles(-5, 6.4).map(Math.exp),
  })
  const cases = fc.record({
    stages: fc.array(stage, { minLength: 1, maxLength: 4 }),
    sustainedW: fc.double({ min: 10, max: 90, noNaN: true }),
    gain: evenDoubles(-3.4, 3.4).map(Math.exp),
    resetS: evenDoubles(-2.3, 3.4).map(Math.exp),
  })
  const powersOf = ({
    stages,
    sustainedW,
    gain,
    resetS,
  }: typeof cases extends fc.Arbitrary<infer T> ? T : never) => {
    const totalKPerW = stages.reduce((sum, { rKPerW }) => sum + rKPerW, 0)
    const wPerK = gain / totalKPerW
    const control = { wPerK, wPerKS: wPerK / resetS }
    const heat = { stages, ceilingRiseK: totalKPerW * sustainedW, control }
    return tracedBy({ ...PLAIN_MACHINE, heat }, { ...ONE_LOAD, durationS: 9000 }).map(({ powerW }) => powerW)
  }

  test('comes to rest at the power that the ceiling allows', () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const lastW = powersOf(drawn).at(-1)!
        expect(Math.abs(lastW / drawn.sustainedW - 1)).toBeLessThan(0.01)
      }),
      { numRuns: 60 },
    )
  })

  // Each step turns a damped swing by less than a right angle, as the law holds at its end: no five changes in a row go up and down by turns. A hump on
  // a fall shows three that do.
  test('never swings from one step to the next and back', () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const powers = powersOf(drawn)
        const changes = powers.slice(1).map((powerW, i) => powerW - powers[i]!)
        const swings = changes.flatMap((_, i) => {
          const five = changes.slice(i, i + 5)
          const byTurns = five.length === 5 && five.slice(1).every((change, j) => change * five[j]! < 0)
          return byTurns ? Math.min(...five.map(Math.abs)) / drawn.sustainedW : []
        })
        expect(Math.max(0, ...swings)).toBeLessThan(1e-6)
      }),
      { numRuns: 60 },
    )
  })

  test('settles in seconds where temperature follows power at once', () => {
    const heat = { stages: [{ rKPerW: 1, tauS: 1e-3 }], ceilingRiseK: 60, control: { wPerK: 20, wPerKS: 7 } }
    const powers = tracedBy({ ...PLAIN_MACHINE, heat }, { ...ONE_LOAD, durationS: 60 }).map(
      ({ powerW }) => powerW,
    )
    for (const powerW of powers.slice(20)) expect(powerW).toBeCloseTo(60, 1)
  })
})
