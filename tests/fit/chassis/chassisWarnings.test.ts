import { describe, expect, test } from 'vitest'
import { type ChassisTrial, fitChassis } from '../../../src/fit/chassis/fitChassis.js'
import type { Trace } from '../../../src/log/trace.js'
import { findLoads } from '../../../src/segment/findLoads.js'
import { PLAIN_MACHINE } from '../../physics/loop/plainMachine.js'
import { makeSteps, traceOf } from '../../segment/makeSteps.js'
import { equalPasses, machineRecord } from './machineRecord.js'

type Levels = Parameters<typeof makeSteps>[0]['levels']

const trialOf = (trace: Trace): ChassisTrial => ({ trace, loads: findLoads(trace) })
const steps = (levels: Levels) => makeSteps({ levels, noiseW: 0.3, seed: 4 })
/** A burst, then a level that holds for four minutes. */
const held = (watts: number, forS = 240) =>
  steps([
    [5, 40],
    [95, 20],
    [watts, forS],
    [5, 40],
  ])
const fitted = (...trials: ChassisTrial[]) => fitChassis({ name: 'Heron slim', trials, ambientC: 23 })
const codes = ({ warnings }: ReturnType<typeof fitChassis>) => warnings.map(({ code }) => code)

describe('a chassis', () => {
  test('is that of the longest load, whichever trial it is in', () => {
    const { chassis, kind } = fitted(trialOf(held(50, 150)), trialOf(held(60, 240)), trialOf(held(45, 200)))
    expect(chassis.name).toBe('Heron slim')
    expect(kind).toBe('budgets')
    expect(chassis.sustainedW.value).toBeCloseTo(60, 0)
    expect(chassis.burstW.value).toBeCloseTo(95, 0)
    // And whichever load of a trial.
    const two = steps([
      [5, 40],
      [95, 20],
      [50, 100],
      [5, 60],
      [95, 20],
      [60, 240],
      [5, 40],
    ])
    expect(fitted(trialOf(two)).chassis.sustainedW.value).toBeCloseTo(60, 0)
  })

  test('without a load is refused, with what to do', () => {
    const idle = { ...trialOf(held(60)), loads: [] }
    expect(() => fitted(idle)).toThrow(
      expect.objectContaining({
        code: 'no-load',
        message: expect.stringContaining('got none'),
        details: { remedy: 'log the power while the task runs, from idle until it has settled' },
      }),
    )
  })
})

describe('its warnings', () => {
  test('name power modes that were mixed, one without a name too, and are none where all is well', () => {
    const [long, short] = [trialOf(held(60, 240)), trialOf(held(50, 150))]
    const mixed = fitted({ ...long, mode: 'quiet' }, short)
    expect(mixed.warnings).toEqual([{ code: 'modes-mixed', modes: ['quiet', 'unnamed'] }])
    expect(codes(fitted({ ...long, mode: 'quiet' }, { ...short, mode: 'quiet' }))).toEqual([])
  })

  test('say that idle power is supposed where the log begins and ends at work', () => {
    const { warnings } = fitted(
      trialOf(
        steps([
          [95, 20],
          [60, 240],
        ]),
      ),
    )
    const warning = warnings.find(({ code }) => code === 'idle-not-seen')
    expect(warning).toMatchObject({ supposedW: expect.closeTo(0.06 * 60, 0) })
  })

  test('say that a load ended before it had settled, and when', () => {
    const trial = trialOf(held(60, 25))
    expect(fitted(trial).warnings).toContainEqual({ code: 'not-settled', atS: trial.loads[0]!.endS })
  })

  test('say where a fit leaves more than noise, and how much', () => {
    const trace = held(60)
    const restless = { ...trace, powerW: trace.powerW.map((w, i) => (w > 30 ? w + 4 * Math.sin(i / 12) : w)) }
    const warning = fitted(trialOf(restless)).warnings.find(({ code }) => code === 'chassis-fit-poor')
    expect(warning).toBeDefined()
    if (warning?.code === 'chassis-fit-poor') expect(warning.noiseWidths).toBeGreaterThan(3)
  })
})

describe('an explanation that was not expected', () => {
  const STAGES = [
    { rKPerW: 0.4, tauS: 5 },
    { rKPerW: 0.6, tauS: 90 },
  ]
  const machine = { ...PLAIN_MACHINE, responseS: 1 }
  const told = (label: string, of: typeof machine, passes: Parameters<typeof machineRecord>[1]) => {
    const { powerW } = machineRecord(of, passes)
    const rises = STAGES.map(({ rKPerW }) => rKPerW * 6)
    const celsius = powerW.map((watts) => {
      STAGES.forEach(({ rKPerW, tauS }, k) => {
        rises[k] = rKPerW * watts + (rises[k]! - rKPerW * watts) * Math.exp(-1 / tauS)
      })
      return 23 + rises[0]! + rises[1]!
    })
    const timesS = powerW.map((_, i) => i)
    const trial = trialOf(traceOf(timesS, powerW, celsius))
    const loads = trial.loads.map((load) => ({
      ...load,
      stages: load.stages.map((stage) => ({ ...stage, heldBy: { label, evidence: [] } })),
    }))
    return fitted({ ...trial, loads } as unknown as ChassisTrial)
  }

  test('is told: heat in place of a limit, and a timed step in place of a budget', () => {
    const hot = { ...machine, heat: { stages: STAGES, ceilingRiseK: 62, control: { wPerK: 1, wPerKS: 0.3 } } }
    const heat = told('power-limit', hot, equalPasses(1, 240, 0))
    expect([heat.kind, codes(heat)]).toEqual(['heat', ['heat-explains-better']])
    expect(told('heat', hot, equalPasses(1, 240, 0)).warnings).toEqual([])
    const timed = told(
      'power-limit',
      { ...machine, timedSteps: [{ limitW: 60, afterS: 45 }] },
      equalPasses(3, 60, 15),
    )
    expect([timed.kind, codes(timed)]).toEqual(['timed', ['timed-step-explains-better']])
  })
})

describe('what a chassis is not asked for', () => {
  test('is a demand where a limit or nothing known holds it, and the network without heat', () => {
    const { demandW, kind } = fitted(trialOf(held(60)))
    expect([kind, demandW]).toEqual(['budgets', null])
    const level = trialOf(
      steps([
        [5, 40],
        [60, 240],
        [5, 40],
      ]),
    )
    const asked = (label: string) =>
      fitted({
        ...level,
        loads: level.loads.map((load) => ({
          ...load,
          stages: load.stages.map((stage) => ({ ...stage, heldBy: { label, evidence: [] } })),
        })),
      } as unknown as ChassisTrial)
    expect(asked('demand')).toMatchObject({ kind: 'flat', demandW: level.loads[0]!.sustained.levelW.value })
    expect(asked('undetermined')).toMatchObject({ kind: 'flat', demandW: null })
  })

  test('is a record that a load before it disturbs, nor more samples than tell', () => {
    const two = steps([
      [5, 40],
      [95, 20],
      [60, 240],
      [5, 60],
      [30, 50],
      [5, 40],
    ])
    const { chassis } = fitted(trialOf(two))
    expect(chassis.sustainedW.value).toBeCloseTo(60, 0)
    expect(chassis.idleW).toBeCloseTo(5, 0)
    const fine = makeSteps({
      levels: [
        [5, 10],
        [95, 20],
        [60, 300],
        [5, 10],
      ],
      everyS: 0.1,
      noiseW: 0.3,
      seed: 4,
    })
    expect(fitted(trialOf(fine)).chassis.sustainedW.value).toBeCloseTo(60, 0)
  })
})

describe('a thermal network', () => {
  /** Half a kelvin for each watt, after a minute. */
  const warmed = (trace: Trace): Trace => {
    let rise = 5
    const temperatureC = trace.powerW.map((w) => {
      rise += (0.5 * w - rise) / 60
      return 22 + rise
    })
    return { ...trace, temperatureC }
  }

  test('comes with the temperature of a log, unless nobody asks for it', () => {
    const trial = trialOf(warmed(held(60)))
    const given = { name: 'x', trials: [trial], ambientC: 23 }
    expect(fitChassis(given).chassis.thermal!.resistanceKPerW.value).toBeCloseTo(0.5, 1)
    expect(fitChassis({ ...given, thermal: true }).chassis.thermal).not.toBeNull()
    expect(fitChassis({ ...given, thermal: false }).chassis.thermal).toBeNull()
    expect(fitted(trialOf(held(60))).chassis.thermal).toBeNull()
  })
})
