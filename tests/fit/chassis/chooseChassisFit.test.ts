import { describe, expect, it } from 'vitest'
import { chooseChassisFit, chooseWithoutHeat } from '../../../src/fit/chassis/chooseChassisFit.js'
import type { ThermalFit } from '../../../src/fit/chassis/fitThermalNetwork.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'
import type { HoldLabel, Load } from '../../../src/segment/load.js'
import { PLAIN_MACHINE } from '../../physics/loop/plainMachine.js'
import { equalPasses, machineRecord } from './machineRecord.js'

const WHOLE = equalPasses(1, 240, 0)
const LOOP = equalPasses(3, 60, 15)
const machine = (parts: Partial<LoopMachine>): LoopMachine => ({
  ...PLAIN_MACHINE,
  peakW: 100,
  responseS: 1,
  ...parts,
})
const BUDGET = machine({ budgets: [{ limitW: 60, tauS: 40 }] })
const TIMED = machine({ timedSteps: [{ limitW: 60, afterS: 45 }] })
const STAGES = [
  { rKPerW: 0.4, tauS: 5 },
  { rKPerW: 0.6, tauS: 90 },
]
const HOT = machine({ heat: { stages: STAGES, ceilingRiseK: 62, control: { wPerK: 1, wPerKS: 0.3 } } })
const NETWORK: ThermalFit = {
  stages: STAGES,
  zeroPowerC: 23,
  resistanceKPerW: { value: 1, low: 0.98, high: 1.02, level: 0.9 },
  residualK: 0.2,
}

/** The record with the temperature that the network has behind the power, second by second. */
function warm(record: LoadRecord): LoadRecord {
  const rises = STAGES.map(({ rKPerW }) => rKPerW * record.idleW)
  const temperatureC = record.powerW.map((watts) => {
    STAGES.forEach(({ rKPerW, tauS }, k) => {
      rises[k] = rKPerW * watts + (rises[k]! - rKPerW * watts) * Math.exp(-1 / tauS)
    })
    return 23 + rises[0]! + rises[1]!
  })
  return { ...record, temperatureC }
}

interface ToldStage {
  readonly levelW: number
  readonly startS: number
  readonly endS: number
  readonly shape?: string
  readonly decay?: { readonly fromW: number }
}

/** A load as its stages tell it; they say nothing but what held the last one, where none are given. */
function loadOf(label: HoldLabel, stages: readonly ToldStage[] = [], settledW = 60) {
  return {
    startS: 0,
    endS: 400,
    stages: (stages.length > 0 ? stages : [{ levelW: settledW, startS: 0, endS: 400 }]).map(
      ({ levelW, shape = 'level', decay = null, ...times }) => ({
        ...times,
        shape,
        decay,
        levelW: { value: levelW },
        heldBy: { label, evidence: [] },
      }),
    ),
    sustained: { reached: true, levelW: { value: settledW } },
  } as unknown as Load
}

function chosen(record: LoadRecord, label: HoldLabel, network: () => ThermalFit | null = () => NETWORK) {
  return chooseChassisFit(record, loadOf(label), network)
}

describe('what explains a load', () => {
  it('is its demand where power never drops', () => {
    const fit = chosen(machineRecord(machine({}), WHOLE), 'demand')
    expect(fit.kind).toBe('flat')
    expect(fit.machine.peakW).toBeCloseTo(100, 1)
    expect(fit.machine).toMatchObject({ budgets: [], timedSteps: [], heat: null, idleW: PLAIN_MACHINE.idleW })
    expect(fit.cost / fit.samples).toBeLessThan(1.3)
  })

  it('is a budget rather than a timed step in a load without pauses, which looks the same', () => {
    for (const truth of [BUDGET, TIMED]) {
      const fit = chosen(machineRecord(truth, WHOLE), 'power-limit')
      expect(fit.kind).toBe('budgets')
      expect(fit.machine.budgets[0]!.limitW).toBeCloseTo(60, 0)
    }
  })

  it('is told by what follows a pause: another burst, or none', () => {
    const budgets = chosen(machineRecord(BUDGET, LOOP), 'power-limit')
    expect(budgets.kind).toBe('budgets')
    expect(Math.abs(budgets.machine.budgets[0]!.tauS / 40 - 1)).toBeLessThan(0.03)
    const timed = chosen(machineRecord(TIMED, LOOP), 'power-limit')
    expect(timed.kind).toBe('timed')
    expect(Math.abs(timed.machine.timedSteps[0]!.afterS - 45)).toBeLessThan(0.5)
  })

  it('is heat where that was said, and the power follows it', () => {
    const fit = chosen(warm(machineRecord(HOT, WHOLE)), 'heat')
    expect(fit.kind).toBe('heat')
    if (fit.kind === 'heat') expect(Math.abs(fit.ceilingRise / 62 - 1)).toBeLessThan(0.01)
  })

  it('is heat in spite of what was said where that explains twice as much', () => {
    expect(chosen(warm(machineRecord(HOT, WHOLE)), 'power-limit').kind).toBe('heat')
  })

  it('is a set limit in spite of what was said where that explains twice as much', () => {
    expect(chosen(warm(machineRecord(BUDGET, LOOP)), 'heat').kind).toBe('budgets')
  })

  it('needs no thermal network where a limit, as was said, explains it, or nothing has to be explained', () => {
    const never = (): ThermalFit => {
      throw new Error('no network is needed')
    }
    expect(chosen(machineRecord(BUDGET, LOOP), 'power-limit', never).kind).toBe('budgets')
    expect(chosen(machineRecord(machine({}), WHOLE), 'heat', never).kind).toBe('flat')
  })

  it('is anything but heat where heat may not be', () => {
    expect(chooseWithoutHeat(machineRecord(HOT, WHOLE), loadOf('heat')).kind).toBe('budgets')
    expect(chooseWithoutHeat(machineRecord(TIMED, LOOP), loadOf('heat')).kind).toBe('timed')
    const flat = chooseWithoutHeat(machineRecord(machine({}), WHOLE), loadOf('demand'))
    expect(flat.kind).toBe('flat')
    expect(flat.machine.peakW).toBeCloseTo(100, 1)
  })
})

describe('stages as other starts', () => {
  // A drop of 2.5 W is less than the record itself is asked for.
  const small = machineRecord(machine({ budgets: [{ limitW: 97.5, tauS: 9 }] }), WHOLE, 0.1)
  const told = (...stages: ToldStage[]) =>
    chooseChassisFit(small, loadOf('power-limit', stages, 97.5), () => null)

  it('tell of a drop that the levels alone do not show', () => {
    expect(told().kind).toBe('flat')
    const fit = told({ levelW: 100, startS: 0, endS: 28 }, { levelW: 97.5, startS: 28, endS: 400 })
    expect(fit.kind).toBe('budgets')
    expect(fit.machine.budgets[0]!.limitW).toBeCloseTo(97.5, 1)
  })

  it('tell of none where they fall by less than 2 %, or rise', () => {
    expect(told({ levelW: 100, startS: 0, endS: 28 }, { levelW: 98.1, startS: 28, endS: 400 }).kind).toBe(
      'flat',
    )
    expect(told({ levelW: 90, startS: 0, endS: 28 }, { levelW: 97.5, startS: 28, endS: 400 }).kind).toBe(
      'flat',
    )
  })

  it('tell of one where power goes on falling, from where that began', () => {
    const decay = { levelW: 99, startS: 28, endS: 400, shape: 'decay', decay: { fromW: 100 } }
    expect(told({ levelW: 100, startS: 0, endS: 28 }, decay).kind).toBe('budgets')
  })

  it('tell of a level between, and when it ends', () => {
    const two = machine({
      budgets: [
        { limitW: 70, tauS: 15 },
        { limitW: 50, tauS: 150 },
      ],
    })
    const fit = chooseChassisFit(
      machineRecord(two, WHOLE),
      loadOf(
        'power-limit',
        [
          { levelW: 100, startS: 0, endS: 17 },
          { levelW: 70, startS: 17, endS: 170 },
          { levelW: 50, startS: 170, endS: 400 },
        ],
        50,
      ),
      () => null,
    )
    expect(fit.kind).toBe('budgets')
    expect(fit.machine.budgets.map(({ limitW }) => Math.round(limitW))).toEqual([70, 50])
    expect(fit.cost / fit.samples).toBeLessThan(2)
  })
})

describe('a load of a few samples', () => {
  it('is explained by the level that it settled at', () => {
    const few = machineRecord(machine({ peakW: 60 }), [{ startS: 0, endS: 4 }])
    const fit = chooseChassisFit(
      few,
      { ...loadOf('undetermined'), stages: [] } as unknown as Load,
      () => null,
    )
    expect(fit.kind).toBe('flat')
    expect(fit.parameters).toHaveLength(1)
    expect(Math.abs(fit.parameters[0]! - 60)).toBeLessThan(1)
  })
})
