import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parseLog } from '../../src/log/parseLog.js'
import { warnOfRepairs } from '../../src/machine/warnOfRepairs.js'
import { chassisSchema, chipSchema } from '../../src/model/modelSchema.js'
import { parseModel } from '../../src/model/parseModel.js'
import { roundTicks } from '../../src/numeric/roundTicks.js'
import { drawMachines } from '../../src/predict/plan/planSettling.js'
import { projectScore } from '../../src/predict/projection/projectScore.js'
import { findLoads } from '../../src/segment/findLoads.js'
import { roundTimeTicks } from '../../src/show/figures/roundTimeTicks.js'
import { sayWarning } from '../../src/show/text/sayWarning.js'
import foundCases from './foundCases.json' with { type: 'json' }
import { type FuzzCase, makeInput } from './fuzzCase.js'
import { judgeCase } from './judgeCase.js'

// What fuzzing has found, once mended; each as small as it could be made.

const log = (rows: readonly (readonly (string | number)[])[], header = 'time_s,power_w') =>
  parseLog(`${header}\n${rows.map((row) => row.join(',')).join('\n')}\n`)
const seconds = (count: number, watts: (s: number) => number | string) =>
  Array.from({ length: count }, (_, s) => [s, watts(s)] as const)

describe('a log', () => {
  it('of years has a handful of time ticks on its chart, not one for each day', () => {
    expect(roundTimeTicks(0, 3e9, 5).length).toBeLessThanOrEqual(6)
    expect(roundTimeTicks(0, 40 * 86_400, 5)).toEqual([0, 864_000, 1_728_000, 2_592_000, 3_456_000])
  })

  it('far from zero on a narrow scale is ticked to an end', () => {
    expect(roundTicks(1e17, 1e17 + 64, 4).length).toBeLessThanOrEqual(10)
  })

  it('of zeros, or of a counter that stands still, holds no load of 0 W', () => {
    expect(findLoads(log(seconds(60, () => 0)).trace)).toEqual([])
    expect(
      findLoads(
        log(
          seconds(60, () => 5000),
          'time_s,energy_j',
        ).trace,
      ),
    ).toEqual([])
  })

  it('of next to nothing settles at a time that is a number, and not below zero', () => {
    const watts = (s: number) => (s % 10 === 0 ? 1 : 0)
    for (const { sustained } of findLoads(log(seconds(504, watts)).trace)) {
      expect(sustained.levelW.low).toBeGreaterThanOrEqual(0)
      const { low, value, high } = sustained.settleAfterS ?? { low: 0, value: 0, high: 0 }
      expect(low <= value && value <= high).toBe(true)
    }
  })

  it.each([[[5.516, 5.075, 4.893, 5.454, 5.632, 4.869, 5.574, 4.584]], [[5.087, 5.06, 4.955, 5.192, 4.993]]])(
    'of a few samples that all look like spikes at its end has a level all the same: %j',
    (watts) => {
      const loads = findLoads(log(watts.map((powerW, i) => [i / 2, powerW])).trace)
      expect(loads.length).toBeGreaterThan(0)
      for (const { sustained } of loads) {
        expect(sustained.levelW.value).toBeGreaterThan(3)
        expect(sustained.levelW.value).toBeLessThan(6)
      }
    },
  )

  it('with a clock that overflows has no clock there, and says so', () => {
    const rows = seconds(20, () => 50).map(([s, watts]) => [s, watts, s === 3 ? '1e308' : 4])
    const { trace, repairs } = log(rows, 'time_s,power_w,Core clock [GHz]')
    expect(Number.isNaN(trace.clockHz![3])).toBe(true)
    expect(repairs.map(({ kind }) => kind)).toContain('impossible-clock')
  })

  it('with a clock that always reads 0 has no clock in its evidence, and no NaN', () => {
    const rows = seconds(400, (s) => (s < 20 ? 5 : 50)).map(([s, watts]) => [s, watts, 0])
    const [load] = findLoads(log(rows, 'time_s,power_w,Core clock [GHz]').trace)
    expect(load!.stages[0]!.heldBy.evidence.join()).not.toMatch(/NaN|clock/)
  })

  it('with a clock of next to nothing has none in its evidence, whatever it jumps to', () => {
    const rows = Array.from(
      { length: 600 },
      (_, s) => [s, s < 10 ? 5 : 60, s % 9 === 0 ? 1e9 : 5e-324] as const,
    )
    const [load] = findLoads(log(rows, 'time_s,power_w,clock_mhz').trace)
    const evidence = load!.stages.flatMap(({ heldBy }) => heldBy.evidence)
    expect(evidence.length).toBeGreaterThan(0)
    expect(evidence.filter((text) => text.includes('clock'))).toEqual([])
  })

  it('whose hours go past 23 begins at no time of day', () => {
    const rows = Array.from({ length: 30 }, (_, s) => [`27:57:${String(s).padStart(2, '0')}`, 50])
    expect(log(rows, 'Time,power_w').trace.startOfDayS).toBeNull()
  })

  it('over ages, or over less than a millisecond, is refused', () => {
    expect(() =>
      log([
        [0, 5],
        [1e12, 6],
        [2e12, 7],
        [3e12, 8],
      ]),
    ).toThrow(/100 years/)
    expect(() =>
      log([
        [0, 5],
        ['1e-300', 6],
        ['2e-300', 7],
      ]),
    ).toThrow(/1 ms/)
  })

  it('with edges closer than they can be told has its stages in order all the same', async () => {
    expect(await judgeCase(foundCases[0] as FuzzCase)).toBe('result, mended')
  })

  it('most of which had to be mended is warned of in every answer', () => {
    const broken = log(seconds(300, (s) => (s % 4 === 0 ? 'off' : 50 + (s % 3))))
    const [warning] = warnOfRepairs(broken, 'a.csv')
    expect(warning).toMatchObject({ code: 'log-much-mended', broken: 75 })
    expect(sayWarning(warning!)).toMatch(/^a\.csv: 75 samples had to be repaired or left out/)
  })
})

describe('a model', () => {
  const chip = readFileSync('models/chips/merlin-12.json', 'utf8')
  const chassis = readFileSync('models/chassis/bittern-deep.json', 'utf8')

  it.each([
    ['a scale that overflows', /"scale": [\d.]+/, '"scale": 1e300'],
    ['an exponent of a thousand', /"tilt": [-\d.]+/, '"tilt": 1000'],
    ['a curve that falls with power', /"tilt": [-\d.]+/, '"tilt": -19'],
    ['a demand of 1e308 W', /"demandW": [^,]+/, '"demandW": 1e308'],
  ])('of a chip with %s is refused rather than projected to infinity', (_what, field, instead) => {
    const kind = { format: 'holdwatt-chip', schema: chipSchema } as const
    expect(() => parseModel(chip, 'chip.json', kind)).not.toThrow()
    expect(chip).toMatch(field)
    expect(() => parseModel(chip.replace(field, instead), 'chip.json', kind)).toThrow(/draws|demandW/)
  })

  it.each([
    [
      'a time constant of 1e-300 s',
      /"tauS": \{\s*"value": [\d.]+,\s*"low": [\d.]+,\s*"high": [\d.]+/,
      '"tauS": {"value":1e-300,"low":1e-300,"high":1e-300',
    ],
    ['an idle power of 1e308 W', /"idleW": [\d.]+/, '"idleW": 1e308'],
    ['an idle power above that of its burst', /"idleW": [\d.]+/, '"idleW": 4600'],
    ['a room below absolute zero', /"ambientC": [\d.]+/, '"ambientC": -300'],
  ])('of a chassis with %s is refused', (_what, field, instead) => {
    const kind = { format: 'holdwatt-chassis', schema: chassisSchema } as const
    expect(chassis).toMatch(field)
    expect(() => parseModel(chassis.replace(field, instead), 'chassis.json', kind)).toThrow(
      /tauS|idleW|ambientC/,
    )
  })
})

describe('a chassis', () => {
  it('of more thermal stages than any has is refused at once, not simulated for seconds', () => {
    const model = JSON.parse(readFileSync('models/chassis/ibis-flat.json', 'utf8')) as {
      thermal: { stages: unknown[] }
    }
    const kind = { format: 'holdwatt-chassis', schema: chassisSchema } as const
    const withStages = (count: number) => {
      const stages = Array.from({ length: count }, (_, i) => model.thermal.stages[i % 4])
      return JSON.stringify({ ...model, thermal: { ...model.thermal, stages } })
    }
    expect(() => parseModel(withStages(12), 'chassis.json', kind)).not.toThrow()
    expect(() => parseModel(withStages(13), 'chassis.json', kind)).toThrow(/thermal\.stages/)
  })

  it('too weak for the work of a run is refused, not simulated for a day of seconds', () => {
    const chassisText = readFileSync('models/chassis/ibis-flat.json', 'utf8')
    const weak = chassisText.replaceAll(/"rKPerW": ([\d.]+)/g, (_, r) => `"rKPerW": ${20 * Number(r)}`)
    const target = parseModel(weak, 'chassis.json', { format: 'holdwatt-chassis', schema: chassisSchema })
    const chip = parseModel(readFileSync('models/chips/merlin-12.json', 'utf8'), 'chip.json', {
      format: 'holdwatt-chip',
      schema: chipSchema,
    })
    const loop = { runs: 3, gapS: 5 }
    expect(weak).not.toBe(chassisText)
    expect(() => projectScore({ chip, target, loop })).toThrow(
      expect.objectContaining({ code: 'loop-unusable' }),
    )
  })

  it('whose burst may be next to nothing is told with an interval that has an upper end, far away', async () => {
    const text = readFileSync('models/chassis/ibis-flat.json', 'utf8')
    const low = /("burstW": \{\s*"value": [\d.]+,\s*"low": )[\d.]+/
    expect(text).toMatch(low)
    const kind = { format: 'holdwatt-chassis', schema: chassisSchema } as const
    const target = parseModel(text.replace(low, '$10.000001'), 'chassis.json', kind)
    for (const machine of drawMachines(target, 200))
      expect(machine.peakW).toBeGreaterThan(target.burstW.value / 11)
    const chip = parseModel(readFileSync('models/chips/merlin-12-compile.json', 'utf8'), 'chip.json', {
      format: 'holdwatt-chip',
      schema: chipSchema,
    })
    const { score } = projectScore({ chip, target, loop: { runs: 3, gapS: 5 } }).steady
    expect(score.high).toBeGreaterThan(10 * score.value)
    expect(score.high).toBeLessThan(Number.POSITIVE_INFINITY)
  })
})

describe('inputs that once failed', () => {
  it.each(foundCases)('no longer do ($kind of $base, $changes.length changes)', async (found) => {
    const fuzzCase = found as FuzzCase
    expect(await judgeCase(fuzzCase, makeInput(fuzzCase))).toMatch(/^(result|refused|command)/)
  })
})
