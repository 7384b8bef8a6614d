import { describe, expect, it } from 'vitest'
import { assembleChassis } from '../../../src/fit/chassis/assembleChassis.js'
import type { ChassisFit } from '../../../src/fit/chassis/chooseChassisFit.js'
import type { ThermalFit } from '../../../src/fit/chassis/fitThermalNetwork.js'
import { heldTimes } from '../../../src/fit/chassis/heldTimes.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { type Estimate, estimateFromLogError } from '../../../src/numeric/statistics/estimate.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import type { Load } from '../../../src/segment/load.js'

const RECORD = { idleW: 5, intervalS: 1, passes: [{ startS: 0, endS: 900 }] } as unknown as LoadRecord

/** A load of 900 s that settled at 44 W, or would have to. */
function loadOf({ reached = true, levelW = 44, stages = [] as unknown[] } = {}) {
  const level: Estimate = { value: levelW, low: levelW - 1, high: levelW + 2, level: 0.9 }
  return { startS: 10, endS: 910, stages, sustained: { reached, levelW: level } } as unknown as Load
}

interface Made {
  readonly kind: ChassisFit['kind']
  readonly parameters: readonly number[]
  readonly machineFor: (p: readonly number[]) => LoopMachine
  readonly logErrors?: readonly number[] | undefined
  readonly costPerSample?: number
  readonly more?: object
}

function made({ kind, parameters, machineFor, costPerSample = 1, more = {}, ...rest }: Made): ChassisFit {
  const logErrors = 'logErrors' in rest ? rest.logErrors : parameters.map(() => 0.003)
  const machine = machineFor(parameters)
  return {
    kind,
    parameters,
    machineFor,
    machine,
    logErrors,
    cost: 100 * costPerSample,
    samples: 100,
    ...more,
  } as unknown as ChassisFit
}

function assembled(
  fit: ChassisFit,
  {
    load = loadOf(),
    record = RECORD,
    network = null as ThermalFit | null,
    ambientC = 21 as number | null,
  } = {},
) {
  return assembleChassis({ name: 'Heron slim', ambientC, record, load, fit, network })
}

/** Standard error of the logarithm that an interval speaks of. */
const errorOf = ({ low, high }: Estimate) => Math.log(high / low) / 2 / 1.6448536269514722

const machine = (parts: Partial<LoopMachine>): LoopMachine => ({
  idleW: 5,
  peakW: 90,
  responseS: 0,
  givesWay: 'headroom',
  budgets: [],
  heat: null,
  timedSteps: [],
  ...parts,
})

/** Peak, response, then limit and time constant of each budget. */
const budgetFit = (budgets: readonly (readonly [limitW: number, tauS: number])[], more: Partial<Made> = {}) =>
  made({
    kind: 'budgets',
    parameters: [90, 2, ...budgets.flat()],
    machineFor: ([peakW, responseS, ...rest]) =>
      machine({
        peakW: peakW!,
        responseS: responseS!,
        budgets: budgets.map((_, i) => ({ limitW: rest[2 * i]!, tauS: rest[2 * i + 1]! })),
      }),
    ...more,
  })

describe('a chassis of power budgets', () => {
  const two = budgetFit([
    [60, 20],
    [44, 200],
  ])

  it('has burst, limits and time constants as fitted, each as sure as the fit, its kind and its habits allow', () => {
    const chassis = assembled(two)
    expect(chassis).toMatchObject({
      name: 'Heron slim',
      idleW: 5,
      responseS: 2,
      givesWay: 'headroom',
      timedSteps: [],
    })
    expect(chassis.burstW.value).toBe(90)
    expect(errorOf(chassis.burstW)).toBeCloseTo(Math.hypot(0.005, 0.003), 9)
    const [first, second] = chassis.budgets
    expect([first!.limitW.value, first!.tauS.value, second!.limitW.value, second!.tauS.value]).toEqual([
      60, 20, 44, 200,
    ])
    expect(errorOf(first!.limitW)).toBeCloseTo(Math.hypot(0.004, 0.003), 9)
    expect(errorOf(second!.limitW)).toBeCloseTo(Math.hypot(0.0022, 0.003), 9)
    // Whether it lets go a response time of 2 s sooner or later.
    expect(errorOf(first!.tauS)).toBeCloseTo(Math.hypot(0.005, (0.9 * 2) / 20, 0.003), 9)
    expect(errorOf(second!.tauS)).toBeCloseTo(Math.hypot(0.005, (0.9 * 2) / 200, 0.003), 9)
    expect(first).not.toHaveProperty('givesWay')
    expect(first).not.toHaveProperty('recoveryS')
  })

  it('has the first limit as its short term, the lowest as its sustained power', () => {
    const chassis = assembled(two)
    expect(chassis.shortTermW).toEqual(chassis.budgets[0]!.limitW)
    expect(chassis.sustainedW).toEqual(chassis.budgets[1]!.limitW)
    const one = assembled(budgetFit([[44, 200]]))
    expect(one.shortTermW).toBeNull()
    expect(one.shortTermHoldS).toBeNull()
    expect(one.sustainedW).toEqual(one.budgets[0]!.limitW)
    expect(errorOf(one.sustainedW)).toBeCloseTo(Math.hypot(0.0022, 0.003), 9)
  })

  it('has holds as its machine shows them, as sure as each parameter, the sampling and the controller let them be', () => {
    const times = (p: readonly number[]) => heldTimes(two.machineFor(p), two.machineFor(p).budgets[0]!.limitW)
    const chassis = assembled(two)
    const central = times(two.parameters)
    const errors = [Math.hypot(0.0022, 0.003), 0.003, 0.003, 0.003, 0.003, 0.003]
    for (const [hold, which] of [
      [chassis.burstHoldS!, 'burstS'],
      [chassis.shortTermHoldS!, 'shortTermS'],
    ] as const) {
      const value = central[which]!
      const moves = errors.map((error, i) =>
        Math.log(times(two.parameters.map((p, j) => (j === i ? p * Math.exp(error) : p)))[which]! / value),
      )
      expect(hold.value).toBe(value)
      const ends = Math.hypot(0.5 * 2, 0.15) / value
      expect(errorOf(hold)).toBeCloseTo(Math.hypot(0.005, ends, ...moves), 9)
    }
    // By the closed form: 20 ln(85 / (90 - 60)), less what the headroom of 2 s in 20 takes.
    expect(central.burstS).toBeGreaterThan(15)
    expect(central.burstS).toBeLessThan(20 * Math.log(85 / 30) + 1.4)
  })

  it('in a coarse log has holds that are known to a part of an interval', () => {
    const record = { ...RECORD, intervalS: 60 }
    const { burstHoldS } = assembled(two, { record })
    const fine = errorOf(assembled(two).burstHoldS!) ** 2 - (Math.hypot(1, 0.15) / burstHoldS!.value) ** 2
    expect(errorOf(burstHoldS!)).toBeCloseTo(Math.sqrt(fine + (Math.hypot(1, 9) / burstHoldS!.value) ** 2), 9)
    expect(errorOf(assembled(two, { record: { ...RECORD, intervalS: 600 } }).burstHoldS!)).toBeCloseTo(1, 9)
  })

  it('whose fit could not tell its errors is known to a fifth, its powers to a hundredth', () => {
    const unknown = assembled(
      budgetFit(
        [
          [60, 20],
          [44, 200],
        ],
        { logErrors: undefined },
      ),
    )
    expect(errorOf(unknown.burstW)).toBeCloseTo(0.01, 9)
    expect(errorOf(unknown.sustainedW)).toBeCloseTo(0.01, 9)
    expect(errorOf(unknown.budgets[0]!.limitW)).toBeCloseTo(0.2, 9)
    expect(errorOf(unknown.budgets[1]!.tauS)).toBeCloseTo(0.2, 9)
    const wild = assembled(budgetFit([[44, 200]], { logErrors: [9, 9, 9, 9] }))
    expect(errorOf(wild.sustainedW)).toBeCloseTo(Math.hypot(0.0022, 0.2), 9)
  })

  it('tells of a budget that gives way otherwise, and of one that recovers otherwise than it fills', () => {
    const fit = made({
      kind: 'budgets',
      parameters: [90, 2, 60, 20, 44, 200, 3],
      logErrors: [0.003, 0.003, 0.003, 0.003, 0.003, 0.003, 0.04],
      machineFor: ([peakW, responseS, l1, t1, l2, t2, ratio]) =>
        machine({
          peakW: peakW!,
          responseS: responseS!,
          budgets: [
            { limitW: l1!, tauS: t1!, givesWay: 'latch', recoveryS: t1! * ratio! },
            { limitW: l2!, tauS: t2!, givesWay: 'headroom' },
          ],
        }),
    })
    const [first, second] = assembled(fit).budgets
    expect(first!.givesWay).toBe('latch')
    expect(second).not.toHaveProperty('givesWay')
    expect(first!.recoveryS!.value).toBe(60)
    expect(errorOf(first!.recoveryS!)).toBeCloseTo(Math.hypot(0.04, 0.005, 0.09), 9)
    expect(second).not.toHaveProperty('recoveryS')
    const unknown = assembled({ ...fit, logErrors: undefined } as ChassisFit).budgets[0]!.recoveryS!
    expect(errorOf(unknown)).toBeCloseTo(Math.hypot(0.2, 0.005, 0.09), 9)
  })
})

describe('a log that ended before power settled', () => {
  const early = loadOf({ reached: false, levelW: 40 })

  it('tells of a budget that had not filled: one, two or four loads long', () => {
    const { budgets, sustainedW, shortTermW } = assembled(budgetFit([[60, 20]]), { load: early })
    expect(sustainedW).toEqual(early.sustained.levelW)
    expect(budgets).toHaveLength(2)
    expect(shortTermW).toEqual(budgets[0]!.limitW)
    expect(budgets[1]!.limitW).toEqual(early.sustained.levelW)
    // 60 W held for so many loads of 900 s fill an average that began at 5 W up to 40 W.
    const tau = (loads: number) => (loads * 900) / Math.log((60 - 5) / (60 - 40))
    const { value, low, high, level } = budgets[1]!.tauS
    expect(value).toBeCloseTo(tau(2), 6)
    expect(low).toBeCloseTo(tau(1), 6)
    expect(high).toBeCloseTo(tau(4), 6)
    expect(level).toBe(0.9)
  })

  it('tells of no limit above the one that was seen, and of no idle power near it', () => {
    const near = loadOf({ reached: false, levelW: 59 })
    expect(assembled(budgetFit([[60, 20]]), { load: near }).budgets[1]!.limitW.high).toBe(60)
    expect(
      assembled(budgetFit([[60, 20]]), { load: loadOf({ reached: false, levelW: 59.5 }) }).budgets,
    ).toHaveLength(1)
    const busy = assembled(budgetFit([[60, 20]]), { load: early, record: { ...RECORD, idleW: 39 } })
    expect(busy.budgets[1]!.tauS.value).toBeCloseTo(1800 / Math.log((60 - 36) / 20), 6)
  })

  it('tells of none where it had settled, or heat holds it', () => {
    expect(assembled(budgetFit([[60, 20]]), { load: loadOf({ levelW: 40 }) }).budgets).toHaveLength(1)
  })
})

describe('a chassis of a timed step', () => {
  const fit = made({
    kind: 'timed',
    parameters: [90, 3, 44, 120, 60, 20],
    machineFor: ([peakW, responseS, limitW, afterS, budgetW, tauS]) =>
      machine({
        peakW: peakW!,
        responseS: responseS!,
        budgets: [{ limitW: budgetW!, tauS: tauS! }],
        timedSteps: [{ limitW: limitW!, afterS: afterS! }],
      }),
  })

  it('has its step, and a budget before it as its short term', () => {
    const chassis = assembled(fit)
    const [step] = chassis.timedSteps
    expect([step!.limitW.value, step!.afterS.value]).toEqual([44, 120])
    expect(errorOf(step!.limitW)).toBeCloseTo(Math.hypot(0.0022, 0.003), 9)
    expect(errorOf(step!.afterS)).toBeCloseTo(Math.hypot(0.005, 0.003), 9)
    expect(chassis.sustainedW).toEqual(step!.limitW)
    expect(chassis.responseS).toBe(3)
    expect(chassis.shortTermW!.value).toBe(60)
    expect(chassis.budgets[0]!.tauS.value).toBe(20)
    expect(errorOf(chassis.budgets[0]!.limitW)).toBeCloseTo(Math.hypot(0.004, 0.003), 9)
  })

  it('sustains what the log says where that had not settled', () => {
    const load = loadOf({ reached: false, levelW: 30 })
    const { sustainedW, budgets } = assembled(fit, { load })
    expect(sustainedW).toEqual(load.sustained.levelW)
    expect(budgets).toHaveLength(1)
  })
})

const STAGES = [
  { rKPerW: 0.4, tauS: 10 },
  { rKPerW: 0.6, tauS: 300 },
]
const NETWORK: ThermalFit = {
  stages: STAGES,
  zeroPowerC: 25,
  resistanceKPerW: estimateFromLogError(1, 0.02),
  residualK: 0.4,
}

/** A ceiling of 50 K over the ambient: 50 W without end. */
const heatFit = (more: object, costPerSample = 1) =>
  made({
    kind: 'heat',
    parameters: [90, 50, 1, 1],
    costPerSample,
    machineFor: ([peakW, ceilingRiseK]) =>
      machine({
        peakW: peakW!,
        responseS: 1.5,
        givesWay: 'latch',
        heat: { stages: STAGES, ceilingRiseK: ceilingRiseK!, control: { wPerK: 2, wPerKS: 0.1 } },
      }),
    more: { network: NETWORK, budget: null, ceilingRise: 50, ...more },
  })

describe('a chassis that heat holds', () => {
  it('sustains what its network lets through, with its ceiling as the sensor shows it', () => {
    const chassis = assembled(heatFit({}), { network: NETWORK })
    expect(chassis.sustainedW.value).toBeCloseTo(50, 9)
    expect(errorOf(chassis.sustainedW)).toBeCloseTo(Math.hypot(0.008, 0.003), 9)
    expect(chassis.thermal).toEqual({
      stages: STAGES,
      resistanceKPerW: NETWORK.resistanceKPerW,
      zeroPowerC: 25,
      ambientC: 21,
      ceilingC: 75,
    })
    expect(chassis).toMatchObject({
      responseS: 1,
      givesWay: 'headroom',
      heatBudget: null,
      heatControl: { wPerK: 2 },
    })
    expect(assembled(heatFit({}), { network: NETWORK, ambientC: null }).thermal!.ambientC).toBe(25)
    // Three noise widths squared of misfit: its controller is not quite this one.
    expect(errorOf(assembled(heatFit({}, 3), { network: NETWORK }).sustainedW)).toBeCloseTo(
      Math.hypot(0.008, 0.003),
      9,
    )
    expect(errorOf(assembled(heatFit({}, 3.1), { network: NETWORK }).sustainedW)).toBeCloseTo(
      Math.hypot(0.016, 0.003),
      9,
    )
  })

  it('without a thermometer has a budget of heat in watts', () => {
    const terms = [{ share: 1, tauS: 100 }]
    const chassis = assembled(heatFit({ network: null, budget: { terms } }))
    expect(chassis.thermal).toBeNull()
    expect(chassis.heatBudget!.terms).toEqual(terms)
    expect(chassis.heatBudget!.limitW.value).toBe(50)
    expect(errorOf(chassis.heatBudget!.limitW)).toBeCloseTo(Math.hypot(0.008, 0.003), 9)
  })

  it('that had not settled sustains what both the log and the machine allow', () => {
    const load = loadOf({ reached: false, levelW: 44 })
    const chassis = assembled(heatFit({}), { load, network: NETWORK })
    expect(chassis.sustainedW).toEqual({ value: 46, low: 43, high: 50, level: 0.9 })
    expect(assembled(heatFit({ ceilingRise: 30 }), { load }).sustainedW).toEqual({
      value: 43,
      low: 30,
      high: 46,
      level: 0.9,
    })
    expect(assembled(heatFit({ ceilingRise: 45 }), { load }).sustainedW).toEqual({
      value: 45,
      low: 43,
      high: 46,
      level: 0.9,
    })
    expect(chassis.budgets).toEqual([])
  })
})

describe('a chassis that holds nothing down', () => {
  const fit = made({
    kind: 'flat',
    parameters: [44],
    machineFor: ([peakW]) => machine({ peakW: peakW!, givesWay: 'latch' }),
  })

  it('sustains what the work asks for', () => {
    const chassis = assembled(fit, { network: NETWORK })
    expect(chassis.sustainedW).toEqual(loadOf().sustained.levelW)
    expect(chassis).toMatchObject({
      burstHoldS: null,
      shortTermW: null,
      shortTermHoldS: null,
      budgets: [],
      givesWay: 'headroom',
    })
    expect(chassis.heatControl).toBeNull()
    expect(chassis.heatBudget).toBeNull()
    expect(chassis.thermal!.ceilingC).toBeNull()
  })

  it('would draw up to 1.5 % more without the pauses that cool it', () => {
    const record = { ...RECORD, passes: [...RECORD.passes, { startS: 910, endS: 1000 }] }
    const { sustainedW } = assembled(fit, { record })
    expect(sustainedW.high).toBeCloseTo(46 + 0.015 * 44, 9)
    expect(sustainedW.low).toBe(43)
  })
})

describe('a burst before power that swings', () => {
  const fit = budgetFit([[44, 200]])
  const stages = (label: string, cycle?: object) => [
    { label, startS: 10, endS: 50 },
    { label: 'sustained', startS: 50, endS: 910, ...(cycle ? { cycle } : {}) },
  ]

  it('is held as long as the log shows it: what a fit of means says is no first fall', () => {
    const swing = assembled(fit, { load: loadOf({ stages: stages('burst', { lowW: 30 }) }) })
    expect(swing.burstHoldS!.value).toBe(40)
    expect(errorOf(swing.burstHoldS!)).toBeCloseTo(Math.hypot(0.005, 0.15 / 40), 9)
    const held = assembled(fit).burstHoldS
    expect(assembled(fit, { load: loadOf({ stages: stages('burst') }) }).burstHoldS).toEqual(held)
    expect(
      assembled(fit, { load: loadOf({ stages: stages('short-term', { lowW: 30 }) }) }).burstHoldS,
    ).toEqual(held)
    expect(assembled(fit, { load: loadOf({ stages: stages('burst').slice(0, 1) }) }).burstHoldS).toEqual(held)
  })
})
