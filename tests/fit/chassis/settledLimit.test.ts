import { describe, expect, test } from 'vitest'
import type { ChassisFit } from '../../../src/fit/chassis/chooseChassisFit.js'
import type { LoadRecord } from '../../../src/fit/chassis/loadRecord.js'
import { matchSteadyPower } from '../../../src/fit/chassis/matchSteadyPower.js'
import type { LoopMachine } from '../../../src/physics/loop/loopMachine.js'

const PLAIN: LoopMachine = {
  idleW: 10,
  peakW: 90,
  budgets: [],
  givesWay: 'latch',
  heat: null,
  timedSteps: [],
  responseS: 0,
}
const flat = ([peakW]: readonly number[]): LoopMachine => ({ ...PLAIN, peakW: peakW! })

function fitOf(
  kind: ChassisFit['kind'],
  parameters: readonly number[],
  machineFor: (parameters: readonly number[]) => LoopMachine,
): ChassisFit {
  const logErrors = parameters.map(() => 0.01)
  return { kind, parameters, machineFor, machine: machineFor(parameters), logErrors } as unknown as ChassisFit
}

/** Passes one after the other with pauses of 10 s, a sample a second, at a power that `at` tells. */
function record(
  at: (s: number) => number,
  passS: readonly number[] = [120],
  parts: Partial<LoadRecord> = {},
): LoadRecord {
  const passes: { startS: number; endS: number }[] = []
  for (const lastsS of passS) {
    const startS = passes.length === 0 ? 0 : passes.at(-1)!.endS + 10
    passes.push({ startS, endS: startS + lastsS })
  }
  const toS = Float64Array.from({ length: passes.at(-1)!.endS + 5 }, (_, i) => i + 1)
  const passOf = (s: number) => passes.findIndex(({ startS, endS }) => s > startS && s <= endS)
  return {
    idleW: 10,
    idleSeen: true,
    passes,
    fromS: toS.map((s) => s - 1),
    toS,
    powerW: toS.map((s) => (passOf(s) < 0 ? 10 : at(s))),
    temperatureC: null,
    pass: Int16Array.from(toS, passOf),
    noiseW: 1,
    autocorrelation: 0,
    intervalS: 1,
    ...parts,
  }
}

describe('a fitted machine that settles elsewhere than its load did', () => {
  test('is brought to the power of the last quarter of a load without pauses', () => {
    // 56 W above idle power where the fit has 50; what came before doesn't count.
    const { fit, misfit } = matchSteadyPower(
      record((s) => (s <= 90 ? 75 : 66)),
      fitOf('flat', [60], flat),
    )
    expect(misfit).toBeCloseTo(Math.log(56 / 50), 9)
    expect(fit.parameters[0]).toBeCloseTo(66, 2)
    expect(fit.machine.peakW).toBe(fit.parameters[0])
    expect(fit.logErrors![0]).toBeCloseTo(Math.hypot(0.01, Math.log(56 / 50)), 9)
  })

  test('is moved down as well as up', () => {
    const { fit, misfit } = matchSteadyPower(
      record(() => 55),
      fitOf('flat', [60], flat),
    )
    expect(misfit).toBeCloseTo(Math.log(45 / 50), 9)
    expect(fit.parameters[0]).toBeCloseTo(55, 2)
  })

  test('is brought to the last three passes, and their edges excuse some of it', () => {
    const passS = [40, 40, 40, 40, 40]
    const { misfit, fit } = matchSteadyPower(
      record((s) => (s <= 90 ? 75 : 66), passS),
      fitOf('flat', [60], flat),
    )
    // Six edges anywhere in a second, of 120 s of work.
    const [seen, error] = [Math.log(56 / 50), Math.sqrt(6 / 12) / 120]
    expect(misfit).toBeCloseTo((seen * seen ** 2) / (seen ** 2 + error ** 2), 9)
    expect(fit.parameters[0]).toBeGreaterThan(65.9)
    expect(fit.parameters[0]).toBeLessThan(66)
  })

  test('does not count spikes within a pass, but what lies at its edges', () => {
    const passS = [40, 40, 40]
    const spiked = record(() => 60, passS)
    spiked.powerW[20] = 900
    spiked.pass[20] = -1
    expect(matchSteadyPower(spiked, fitOf('flat', [60], flat)).misfit).toBeCloseTo(0, 9)
    const edge = record(() => 60, passS)
    edge.powerW[0] = 360
    edge.pass[0] = -1
    // 300 J more than 120 s at 50 W above idle.
    expect(matchSteadyPower(edge, fitOf('flat', [60], flat)).misfit).toBeGreaterThan(
      0.9 * Math.log(6300 / 6000),
    )
  })

  test('is left as it is within what levels move by themselves, and where nothing was measured', () => {
    const fit = fitOf('flat', [60], flat)
    expect(
      matchSteadyPower(
        record(() => 60.1),
        fit,
      ).fit,
    ).toBe(fit)
    expect(
      matchSteadyPower(
        record(() => 60.12),
        fit,
      ).fit,
    ).not.toBe(fit)
    expect(
      matchSteadyPower(
        record(() => 9),
        fit,
      ),
    ).toEqual({ fit, misfit: null })
  })

  test('is moved by 15 % at most', () => {
    expect(
      matchSteadyPower(
        record(() => 90),
        fitOf('flat', [60], flat),
      ).fit.parameters[0],
    ).toBeCloseTo(60 * Math.exp(0.15), 6)
    expect(
      matchSteadyPower(
        record(() => 30),
        fitOf('flat', [60], flat),
      ).fit.parameters[0],
    ).toBeCloseTo(60 * Math.exp(-0.15), 6)
  })

  test('stays where its limit never acts', () => {
    const deaf = (): LoopMachine => ({ ...PLAIN, peakW: 60 })
    const { fit, misfit } = matchSteadyPower(
      record(() => 66),
      fitOf('flat', [60], deaf),
    )
    expect(misfit).toBeCloseTo(Math.log(56 / 50), 9)
    expect(fit.parameters[0]).toBe(60)
  })
})

describe('the limit that is moved', () => {
  const measured = record((s) => (s <= 20 ? 90 : 66))
  const matched = (fit: ChassisFit) => matchSteadyPower(measured, fit).fit

  test('is that of a timed step', () => {
    const timed = ([peakW, responseS, limitW, afterS]: readonly number[]): LoopMachine => ({
      ...PLAIN,
      peakW: peakW!,
      responseS: responseS! - 1,
      timedSteps: [{ limitW: limitW!, afterS: afterS! }],
    })
    const { parameters, logErrors } = matched(fitOf('timed', [90, 1, 60, 20], timed))
    expect(parameters).toEqual([90, 1, expect.closeTo(66, 2), 20])
    expect([logErrors![0], logErrors![1], logErrors![3]]).toEqual([0.01, 0.01, 0.01])
  })

  test('is the lowest of its budgets', () => {
    const budgets = ([peakW, responseS, ...rest]: readonly number[]): LoopMachine => ({
      ...PLAIN,
      peakW: peakW!,
      responseS: responseS! - 1,
      budgets: [
        { limitW: rest[0]!, tauS: rest[1]! },
        { limitW: rest[2]!, tauS: rest[3]! },
      ],
    })
    expect(matched(fitOf('budgets', [90, 1, 60, 5, 80, 9], budgets)).parameters).toEqual([
      90,
      1,
      expect.closeTo(66, 2),
      5,
      80,
      9,
    ])
    expect(matched(fitOf('budgets', [90, 1, 80, 5, 60, 9], budgets)).parameters[4]).toBeCloseTo(66, 2)
  })

  test('is the ceiling where heat holds the power, which is told beside it', () => {
    const heated = ([peakW, ceilingRiseK]: readonly number[]): LoopMachine => ({
      ...PLAIN,
      peakW: peakW!,
      heat: { stages: [{ rKPerW: 1, tauS: 15 }], ceilingRiseK: ceilingRiseK! },
    })
    const fit = matched(fitOf('heat', [90, 60], heated))
    expect(fit.parameters).toEqual([90, expect.closeTo(66, 1)])
    expect(fit).toMatchObject({ ceilingRise: fit.parameters[1] })
    expect(matched(fitOf('flat', [60], flat))).not.toHaveProperty('ceilingRise')
  })
})
