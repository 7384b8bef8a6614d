import { describe, expect, test } from 'vitest'
import { machineFromChassis, scoresNeeded } from '../../../src/predict/projection/machineFromChassis.js'
import { settledPower } from '../../../src/predict/projection/withSustained.js'
import { about, oneBudget } from '../fixtures.js'

const FREE = { demandW: null }
const hot = oneBudget({
  budgets: [],
  sustainedW: about(60, 1),
  thermal: {
    resistanceKPerW: about(1.2, 5),
    stages: [
      { rKPerW: 0.5, tauS: 5 },
      { rKPerW: 0.7, tauS: 150 },
    ],
    ceilingC: 95,
    ambientC: 23,
    zeroPowerC: 23,
  },
})

describe('one machine of those that a chassis leaves possible', () => {
  test('is the central one with all scores 0', () => {
    const machine = machineFromChassis(oneBudget(), FREE, [])
    expect(machine).toMatchObject({ idleW: 5, peakW: 100, budgets: [{ limitW: 60, tauS: 25 }], responseS: 1 })
  })

  test('has its limit at the edge of the interval with a score of 1.645', () => {
    const scores = new Array<number>(scoresNeeded(oneBudget())).fill(0)
    scores[3] = 1.6448536
    expect(machineFromChassis(oneBudget(), FREE, scores).budgets[0]!.limitW).toBeCloseTo(60.3, 6)
  })

  test('asks for no more than the workload does', () => {
    expect(machineFromChassis(oneBudget(), { demandW: 80 }, []).peakW).toBe(80)
  })
})

describe('each uncertain figure of a chassis', () => {
  const uneven = (value: number) => ({ value, low: 0.9 * value, high: 1.3 * value, level: 0.9 })
  const chassis = oneBudget({
    burstW: uneven(100),
    budgets: [
      { limitW: uneven(80), tauS: uneven(10), givesWay: 'latch' },
      { limitW: uneven(60), tauS: uneven(50) },
    ],
    timedSteps: [
      { limitW: uneven(70), afterS: uneven(90) },
      { limitW: uneven(50), afterS: uneven(300) },
    ],
  })
  const EDGE = 1.6448536
  /** The machine with one score at the edge of its interval. */
  const moved = (index: number, score: number) => {
    const scores = new Array<number>(scoresNeeded(chassis)).fill(0)
    scores[index] = score
    return machineFromChassis(chassis, FREE, scores)
  }
  const figuresOf = ({ peakW, budgets, timedSteps }: ReturnType<typeof moved>) => [
    peakW,
    ...budgets.flatMap(({ limitW, tauS }) => [limitW, tauS]),
    ...timedSteps.map(({ limitW }) => limitW),
  ]
  const MIDDLE = [100, 80, 10, 60, 50, 70, 50]
  /** Which score moves which of these; 1 and 2 are those of heat. */
  const PLACES = [0, 3, 4, 5, 6, 7, 8]

  test('is moved by a score of its own, to each side by its own half of the interval', () => {
    expect(scoresNeeded(chassis)).toBe(9)
    PLACES.forEach((place, k) => {
      const at = (factor: number) =>
        MIDDLE.map((value, j) => expect.closeTo(j === k ? factor * value : value, 5))
      expect(figuresOf(moved(place, EDGE))).toEqual(at(1.3))
      expect(figuresOf(moved(place, -EDGE))).toEqual(at(0.9))
    })
  })

  test('is moved evenly on its scale: limits in watts, time constants by a factor', () => {
    expect(moved(3, EDGE / 2).budgets[0]!.limitW).toBeCloseTo(80 + 12, 5)
    expect(moved(4, EDGE / 2).budgets[0]!.tauS).toBeCloseTo(10 * Math.sqrt(1.3), 5)
    expect(moved(4, -EDGE / 2).budgets[0]!.tauS).toBeCloseTo(10 * Math.sqrt(0.9), 5)
  })

  test('never falls below a tenth, and a time constant that may be nothing is moved in seconds', () => {
    const wide = { value: 10, low: 0, high: 20, level: 0.9 }
    const tauOf = (score: number) =>
      machineFromChassis(oneBudget({ budgets: [{ limitW: wide, tauS: wide }] }), FREE, [
        0,
        0,
        0,
        score,
        score,
      ]).budgets[0]!
    expect(tauOf(EDGE / 2)).toEqual({ limitW: expect.closeTo(15, 5), tauS: expect.closeTo(15, 5) })
    expect(tauOf(-3)).toEqual({ limitW: 1, tauS: 1 })
  })

  test('recovers with a score of its own, last of all and the same for all budgets', () => {
    const recovering = {
      ...chassis,
      budgets: chassis.budgets.map((budget) => ({ ...budget, recoveryS: uneven(30) })),
    }
    expect(scoresNeeded(recovering)).toBe(10)
    const scores = new Array<number>(10).fill(0)
    scores[9] = EDGE
    const machine = machineFromChassis(recovering, FREE, scores)
    expect(machine.budgets.map(({ recoveryS }) => recoveryS)).toEqual([
      expect.closeTo(39, 5),
      expect.closeTo(39, 5),
    ])
    expect(figuresOf(machine)).toEqual(MIDDLE.map((value) => expect.closeTo(value, 9)))
    expect(moved(0, 0).budgets[0]).not.toHaveProperty('recoveryS')
  })

  test('gives way as its budget, its chassis, or with its headroom', () => {
    expect(moved(0, 0).budgets.map(({ givesWay }) => givesWay)).toEqual(['latch', undefined])
    expect(moved(0, 0).timedSteps.map(({ afterS }) => afterS)).toEqual([90, 300])
    expect(machineFromChassis(oneBudget({ givesWay: 'latch' }), FREE, []).givesWay).toBe('latch')
    const { givesWay: _, responseS: __, ...bare } = oneBudget()
    expect(machineFromChassis(bare, FREE, [])).toMatchObject({
      givesWay: 'headroom',
      responseS: 0,
      heat: null,
    })
  })
})

describe('a machine that heat holds', () => {
  test('holds (ceiling - ambient) / resistance in any room', () => {
    expect(settledPower(machineFromChassis(hot, FREE, []))).toBeCloseTo(60, 9)
    expect(settledPower(machineFromChassis(hot, FREE, [], 35))).toBeCloseTo((95 - 35) / 1.2, 9)
    expect(settledPower(machineFromChassis(hot, FREE, [], 11))).toBeCloseTo((95 - 11) / 1.2, 9)
  })

  test('is as sure of its own room’s watts as the test was, and less sure of another’s', () => {
    const withResistance = (score: number, ambientC: number) =>
      settledPower(machineFromChassis(hot, FREE, [0, score, 0], ambientC))
    expect(withResistance(1.645, 23)).toBeCloseTo(60, 9)
    expect(Math.abs(withResistance(1.645, 35) - withResistance(0, 35))).toBeGreaterThan(0.3)
    expect(settledPower(machineFromChassis(hot, FREE, [0, 0, 1.6448536]))).toBeCloseTo(60.6, 6)
  })

  test('follows its controller, above the temperature without power, and not where it has no ceiling', () => {
    const control = { wPerK: 2, wPerKS: 0.1 }
    const heatBudget = { limitW: about(58, 1), terms: [{ share: 1, tauS: 10 }] }
    expect(machineFromChassis({ ...hot, heatControl: control }, FREE, []).heat!.control).toBe(control)
    expect(machineFromChassis(hot, FREE, []).heat!.control).toBeNull()
    const blind = oneBudget({ budgets: [], heatBudget, heatControl: control })
    expect(machineFromChassis(blind, FREE, []).heat!.control).toBe(control)
    const warm = { ...hot, thermal: { ...hot.thermal!, zeroPowerC: 35 } }
    expect(machineFromChassis(warm, FREE, []).heat!.ceilingRiseK).toBeCloseTo(60, 9)
    const { zeroPowerC: _, ...plain } = hot.thermal!
    expect(machineFromChassis({ ...hot, thermal: plain }, FREE, []).heat!.ceilingRiseK).toBeCloseTo(72, 9)
    expect(machineFromChassis({ ...hot, thermal: { ...plain, ceilingC: null } }, FREE, []).heat).toBeNull()
  })

  test('without a thermometer is held by a weighted sum of running averages', () => {
    const heatBudget = {
      limitW: about(58, 1),
      terms: [
        { share: 0.4, tauS: 10 },
        { share: 0.6, tauS: 200 },
      ],
    }
    const machine = machineFromChassis(oneBudget({ budgets: [], heatBudget }), FREE, [])
    expect(settledPower(machine)).toBeCloseTo(58, 9)
  })
})
