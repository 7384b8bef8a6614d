import { describe, expect, test } from 'vitest'
import { fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import { makeLoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { predictPower } from '../../../src/fit/chassis/predictPower.js'
import { parseLog } from '../../../src/log/parseLog.js'
import type { Trace } from '../../../src/log/trace.js'
import { machineFromChassis } from '../../../src/predict/projection/machineFromChassis.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import type { BudgetTruth, ChassisKind, ChassisTruth } from '../../worlds/chassisTruth.js'
import { chipTruth } from '../../worlds/chipTruth.js'
import { makeWorld, type World, type WorldOptions } from '../../worlds/makeWorld.js'

const PARTS = {
  name: 'Bittern 8',
  idleW: 5,
  demandW: 110,
  topGHz: 4.8,
  topV: 1.2,
  floorV: 0.7,
  thresholdV: 0.3,
  alpha: 1.4,
  uncoreW: 8,
  leakShare: 0.02,
  leakK: 60,
  memoryShare: 0.1,
  memory: 'additive',
} as const
const CHIP = chipTruth(PARTS)

const COOL = [
  { rKPerW: 0.15, tauS: 1.5 },
  { rKPerW: 0.2, tauS: 30 },
  { rKPerW: 0.25, tauS: 150 },
]

function chassis(kind: ChassisKind, parts: Partial<ChassisTruth>): ChassisTruth {
  return {
    name: 'Bittern slim',
    kind,
    ambientC: 23,
    peakW: 100,
    budgets: [],
    timed: undefined,
    ceilingC: 95,
    thermal: COOL,
    ...parts,
  }
}

const budget = (limitW: number, tauS: number, style: BudgetTruth['style'] = 'proportional'): BudgetTruth => ({
  limitW,
  tauS,
  easeS: 0.9,
  style,
})

function tested(truth: ChassisTruth, options: WorldOptions = {}) {
  const world = makeWorld(11, {
    chip: CHIP,
    chassis: truth,
    dialect: 'plain',
    logger: 'clean',
    runs: 14,
    gapS: 8,
    work: 40,
    ...options,
  })
  return { world, ...fitted(world) }
}

function demandOf(trace: Trace) {
  const loads = findLoads(trace)
  return { load: loads[0]!, ...fitChassis({ name: 'x', trials: [{ trace, loads }], ambientC: null }) }
}

function fitted(world: World, withTemperature = true) {
  const { trace: logged } = parseLog(world.logs[0]!.bytes)
  const trace = withTemperature ? logged : { ...logged, temperatureC: null }
  const loads = findLoads(trace)
  const fit = fitChassis({ name: 'Bittern slim', trials: [{ trace, loads }], ambientC: 23 })
  return { trace, load: loads[0]!, ...fit }
}

/** Largest error of a run's energy, per cent, when the fitted chassis runs the test again. */
function worstEnergyPct({ trace, load, chassis: model }: ReturnType<typeof fitted>): number {
  const record = makeLoadRecord(trace, load)
  const predicted = predictPower(machineFromChassis(model, { demandW: null }, []), record)
  const errors = record.passes.map((_, k) => {
    let measuredJ = 0
    let predictedJ = 0
    record.pass.forEach((pass, i) => {
      if (pass !== k) return
      measuredJ += record.powerW[i]! * (record.toS[i]! - record.fromS[i]!)
      predictedJ += predicted[i]! * (record.toS[i]! - record.fromS[i]!)
    })
    return 100 * Math.abs(predictedJ / measuredJ - 1)
  })
  return Math.max(...errors)
}

describe('the first run of a loop', () => {
  const leaky = chipTruth({ ...PARTS, demandW: 100, leakShare: 0.12, leakK: 40 })

  test('tells the burst of a rested machine, though later bursts are warmer and draw more', () => {
    const truth = chassis('two-step', { peakW: 400, budgets: [budget(80, 12), budget(55, 60)] })
    const { world, chassis: model } = tested(truth, { chip: leaky, runs: 12, gapS: 20 })
    const { hold } = world.truth
    expect(model.burstW.low).toBeLessThan(hold.burstW)
    expect(model.burstW.high).toBeGreaterThan(hold.burstW)
    expect(Math.abs(model.burstW.value / hold.burstW - 1)).toBeLessThan(0.01)
    expect(Math.abs(model.burstHoldS!.value / hold.firstHalfDownS! - 1)).toBeLessThan(0.1)
  })
})

describe('budgets', () => {
  test('two running averages are found from runs with pauses, and reproduce the test', () => {
    const result = tested(chassis('two-step', { budgets: [budget(78, 9), budget(55, 90)] }))
    const { budgets, responseS } = result.chassis
    expect(result.kind).toBe('budgets')
    expect(budgets[0]!.limitW.value / 78).toBeCloseTo(1, 2)
    expect(budgets[1]!.limitW.value / 55).toBeCloseTo(1, 2)
    expect(Math.abs(budgets[0]!.tauS.value / 9 - 1)).toBeLessThan(0.05)
    expect(Math.abs(budgets[1]!.tauS.value / 90 - 1)).toBeLessThan(0.03)
    expect(Math.abs(responseS! - 0.9)).toBeLessThan(0.15)
    expect(worstEnergyPct(result)).toBeLessThan(1)
    expect(result.warnings).toEqual([])
  })

  test('one running average gives the hold of an uninterrupted load from idle', () => {
    const { chassis: model, world } = tested(chassis('one-step', { budgets: [budget(60, 40)] }))
    const idleW = world.chip.idleW
    const exactS = 40 * Math.log((100 - idleW) / (100 - 60))
    expect(model.budgets).toHaveLength(1)
    expect(Math.abs(model.burstHoldS!.value / exactS - 1)).toBeLessThan(0.04)
    expect(model.shortTermW).toBeNull()
    expect(model.sustainedW.low).toBeLessThan(60)
    expect(model.sustainedW.high).toBeGreaterThan(60)
  })

  test('a budget that latches is told from one that gives way, by the bursts that fail to come', () => {
    const result = tested(chassis('one-step', { budgets: [budget(60, 150, 'latched')] }), { gapS: 5 })
    expect(result.chassis.givesWay).toBe('latch')
    expect(worstEnergyPct(result)).toBeLessThan(2)
  })

  test('a log that ends too early leaves a further, unseen limit with a wide interval', () => {
    const result = tested(chassis('two-step', { budgets: [budget(78, 9), budget(55, 120)] }), {
      plan: 'hold-short',
    })
    expect(result.warnings.map((warning) => warning.code)).toContain('not-settled')
    const { budgets, shortTermW, shortTermHoldS, sustainedW } = result.chassis
    expect(budgets).toHaveLength(2)
    expect(shortTermW!.value / 78).toBeCloseTo(1, 1)
    expect(shortTermHoldS).toBeNull()
    expect(budgets[1]!.limitW.low).toBeLessThan(55)
    expect(budgets[1]!.limitW.high).toBeGreaterThan(55)
    expect(sustainedW.high - sustainedW.low).toBeGreaterThan(5)
  })

  test('one uninterrupted load is enough for holds', () => {
    const { chassis: model } = tested(chassis('two-step', { budgets: [budget(78, 9), budget(55, 90)] }), {
      plan: 'hold',
    })
    expect(Math.abs(model.budgets[1]!.tauS.value / 90 - 1)).toBeLessThan(0.03)
    expect(model.shortTermHoldS).not.toBeNull()
  })
})

describe('what is no budget', () => {
  test('a step down after a set time is a timed step, with a warning', () => {
    const timed = { limitW: 58, afterS: 170, easeS: 0.8 }
    const result = tested(chassis('timed', { budgets: [budget(78, 12)], timed }))
    expect(result.kind).toBe('timed')
    expect(result.warnings.map((warning) => warning.code)).toContain('timed-step-explains-better')
    const [step] = result.chassis.timedSteps
    expect(Math.abs(step!.afterS.value - 170)).toBeLessThan(4)
    expect(step!.limitW.value / 58).toBeCloseTo(1, 2)
  })

  test('a chip that nothing holds down has no limits, and a demand where the log shows that its clock is at the top', () => {
    const { trace, chassis: model } = tested(chassis('flat', { peakW: Number.POSITIVE_INFINITY }))
    expect(model.budgets).toEqual([])
    expect(model.burstHoldS).toBeNull()
    const atTop = { ...trace, clockHz: trace.timesS.map(() => 4.8e9) }
    expect(Math.abs(demandOf(atTop).demandW! / 110 - 1)).toBeLessThan(0.03)
  })

  test('a level that nothing is seen to hold is no demand: nothing says that the task asked for no more', () => {
    const { trace } = tested(chassis('flat', { peakW: Number.POSITIVE_INFINITY }))
    const { kind, demandW, load } = demandOf({ ...trace, clockHz: null, temperatureC: null })
    expect(load.stages.at(-1)!.heldBy.label).toBe('undetermined')
    expect(kind).toBe('flat')
    expect(demandW).toBe(null)
  })

  test('no load at all is refused', () => {
    const trace = { ...fitted(makeWorld(3, { dialect: 'plain', logger: 'clean' })).trace }
    expect(() => fitChassis({ name: 'x', trials: [{ trace, loads: [] }], ambientC: null })).toThrow(/load/)
  })

  test('a step that comes in a pause is told with an interval that spans the pause, and nothing else becomes vague', () => {
    const { truth } = tested(chassis('timed', { budgets: [budget(78, 12)] }), { gapS: 25 }).world
    // The middle of the third pause.
    const afterS = (truth.runs[2]!.endS + truth.runs[3]!.startS) / 2 - truth.runs[0]!.startS
    const timed = { limitW: 58, afterS, easeS: 0.8 }
    const { chassis: model } = tested(chassis('timed', { budgets: [budget(78, 12)], timed }), { gapS: 25 })
    const step = model.timedSteps[0]!.afterS
    expect(step.low).toBeLessThan(afterS - 8)
    expect(step.high).toBeGreaterThan(afterS + 8)
    expect(step.high - step.low).toBeLessThan(30)
    expect(model.burstW.high / model.burstW.low).toBeLessThan(1.025)
  })
})

describe('heat', () => {
  const hot = [
    { rKPerW: 0.3, tauS: 2 },
    { rKPerW: 0.4, tauS: 30 },
    { rKPerW: 0.6, tauS: 180 },
  ]
  const truth = chassis('heat', { thermal: hot, ceilingC: 95 })
  const sustainedW = (95 - 23) / 1.3

  test('the network, its ceiling and the power that it allows are found', () => {
    const result = tested(truth, { plan: 'hold' })
    const { thermal } = result.chassis
    expect(result.kind).toBe('heat')
    expect(Math.abs(thermal!.resistanceKPerW.value / 1.3 - 1)).toBeLessThan(0.02)
    expect(Math.abs(thermal!.ceilingC! - 95)).toBeLessThan(1)
    expect(Math.abs(thermal!.zeroPowerC! - 23)).toBeLessThan(0.7)
    expect(Math.abs(result.chassis.sustainedW.value / sustainedW - 1)).toBeLessThan(0.01)
  })

  test('runs with pauses are reproduced: bursts come back until the ceiling is met again', () => {
    const result = tested(truth)
    expect(result.kind).toBe('heat')
    expect(worstEnergyPct(result)).toBeLessThan(2.5)
  })

  test('without a temperature column the power alone tells what heat does to it', () => {
    const world = makeWorld(11, {
      chip: CHIP,
      chassis: truth,
      dialect: 'plain',
      logger: 'clean',
      plan: 'hold',
    })
    const result = fitted(world, false)
    expect(result.kind).toBe('heat')
    expect(result.chassis.thermal).toBeNull()
    expect(result.chassis.heatBudget).not.toBeNull()
    expect(Math.abs(result.chassis.sustainedW.value / sustainedW - 1)).toBeLessThan(0.015)
    expect(worstEnergyPct(result)).toBeLessThan(1)
  })
})

describe('a chassis whose thermal network is not asked for', () => {
  const without = ({ trace, load }: ReturnType<typeof fitted>) =>
    fitChassis({
      name: 'Bittern slim',
      trials: [{ trace, loads: [load] }],
      ambientC: 23,
      thermal: false,
    }).chassis

  test('is the same but for the network where set limits held the power', () => {
    const budgets = [budget(75, 12), budget(55, 60)]
    const whole = tested(chassis('two-step', { budgets }))
    expect(whole.chassis.thermal).not.toBeNull()
    expect(without(whole)).toEqual({ ...whole.chassis, thermal: null })
  })

  test('has it all the same where heat held the power', () => {
    const whole = tested(chassis('heat', { ceilingC: 62 }), { runs: 20 })
    expect(whole.kind).toBe('heat')
    expect(without(whole)).toEqual(whole.chassis)
  })
})
