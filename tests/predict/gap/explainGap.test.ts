import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { explainGap } from '../../../src/predict/gap/explainGap.js'
import type { GapMachine } from '../../../src/predict/gap/gapMachine.js'
import { settledPower, withSustained } from '../../../src/predict/projection/withSustained.js'
import { sayCautions } from '../../../src/show/text/sayCaution.js'
import { sayGapText } from '../../../src/show/text/sayGapText.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

function machine(parts: Partial<GapMachine> & { readonly name: string }): GapMachine {
  return {
    chip: powerLawChip(),
    chassis: oneBudget(),
    loop: { runs: 8, gapS: 5 },
    heldBy: 'power-limit',
    ...parts,
  }
}

const holding = (sustainedW: number) =>
  oneBudget({
    sustainedW: about(sustainedW, 0.5),
    budgets: [{ limitW: about(sustainedW, 0.5), tauS: about(25, 2) }],
  })

describe('parts of a gap', () => {
  test('add up to ln(ratio) exactly and change sign when the machines are swapped', () => {
    const chips = [powerLawChip(), powerLawChip({ name: 'Merlin 12', workPerRun: about(5000, 0.5) }, 0.6)]
    fc.assert(
      fc.property(
        fc.integer({ min: 40, max: 80 }),
        fc.integer({ min: 40, max: 80 }),
        fc.constantFrom(0, 1),
        (wattsA, wattsB, chipB) => {
          const a = machine({ name: 'Heron 14', chassis: holding(wattsA) })
          const b = machine({ name: 'Bittern 16', chassis: holding(wattsB), chip: chips[chipB]! })
          const [forth, back] = [explainGap({ a, b }), explainGap({ a: b, b: a })]
          const sum = forth.parts.reduce((total, part) => total + part.logRatio.value, 0)
          expect(sum).toBeCloseTo(Math.log(forth.ratio.value), 12)
          expect(forth.ratio.value * back.ratio.value).toBeCloseTo(1, 12)
          forth.parts.forEach((part, i) => {
            expect(part.logRatio.value).toBeCloseTo(-back.parts[i]!.logRatio.value, 12)
            expect(part.logRatio.low).toBeCloseTo(-back.parts[i]!.logRatio.high, 12)
          })
        },
      ),
      { numRuns: 6 },
    )
  })

  test('points add up to the difference of the scores', () => {
    const gap = explainGap({
      a: machine({ name: 'Heron 14', chassis: holding(45) }),
      b: machine({ name: 'Bittern 16', chassis: holding(70) }),
    })
    const points = gap.parts.reduce((sum, part) => sum + part.points, 0)
    expect(points).toBeCloseTo(gap.steady.b.value * (gap.ratio.value - 1), 6)
  })

  test('two equal machines have no gap', () => {
    const gap = explainGap({ a: machine({ name: 'Heron 14' }), b: machine({ name: 'Heron 14' }) })
    expect(gap.ratio.value).toBeCloseTo(1, 12)
    for (const part of gap.parts) expect(part.logRatio.value).toBeCloseTo(0, 12)
    expect(gap.match).toBeNull()
  })

  test('one chip in two chassis explains nothing of their gap', () => {
    const chip = powerLawChip()
    const gap = explainGap({
      a: machine({ name: 'Heron 14', chip, chassis: holding(45) }),
      b: machine({ name: 'Bittern 16', chip, chassis: holding(70) }),
    })
    expect(gap.parts[0]).toMatchObject({
      name: 'chip at equal power',
      logRatio: { value: 0, low: 0, high: 0 },
    })
    // Score goes with the root of the power, and bursts after pauses even it out a little.
    const sustained = gap.parts[1]!.logRatio
    expect(sustained.value / (0.5 * Math.log(45 / 70))).toBeCloseTo(1, 0)
    expect(sustained.high).toBeLessThan(0)
  })

  test('pauses are a cause of their own where they differ', () => {
    const gap = explainGap({
      a: machine({ name: 'Heron 14', loop: { runs: 8, gapS: 0 } }),
      b: machine({ name: 'Heron 15', loop: { runs: 8, gapS: 15 } }),
    })
    const pauses = gap.parts.find((part) => part.name === 'pauses between runs')!
    expect(pauses.logRatio.value).toBeCloseTo(Math.log(gap.ratio.value), 6)
    expect(pauses.logRatio.value).toBeLessThan(-0.01)
  })

  test('machines that ran different work are not compared', () => {
    const other = powerLawChip({ workload: { name: 'compile', score: 'points', better: 'higher' } })
    const call = () => explainGap({ a: machine({ name: 'a' }), b: machine({ name: 'b', chip: other }) })
    expect(call).toThrow(/same workload/)
  })
})

describe('what would have to change', () => {
  test('the power to match is the one with which the scores are equal', () => {
    const chip = powerLawChip({}, 0.5, 0)
    const sharp = (sustainedW: number) =>
      oneBudget({
        burstW: about(100, 0.001),
        budgets: [{ limitW: about(sustainedW, 0.001), tauS: about(25, 0.001) }],
        sustainedW: about(sustainedW, 0.001),
      })
    const a = machine({ name: 'Heron 14', chip, chassis: sharp(45), loop: { runs: 8, gapS: 0 } })
    const b = machine({ name: 'Bittern 16', chip, chassis: sharp(70), loop: { runs: 8, gapS: 0 } })
    const { match, cautions } = explainGap({ a, b })
    expect(match!.machine).toBe('Heron 14')
    expect(match!.sustainedW!.value).toBeCloseTo(70, 0)
    expect(match!.heldW).toBe(45)
    expect(cautions).toContain('makers-limits')
  })

  test('no power is named where none would do', () => {
    const weak = powerLawChip({
      name: 'Wren 4',
      draws: [{ weight: 1, curve: { shape: 'power-law', scale: 1, exponent: 0.3 } }],
      workPerRun: about(200, 0.5),
    })
    const { match, cautions } = explainGap({
      a: machine({ name: 'Heron 14', chip: weak }),
      b: machine({ name: 'Bittern 16' }),
    })
    expect(match).toMatchObject({ machine: 'Heron 14', sustainedW: null })
    expect(cautions).toEqual([])
  })
})

describe('the paragraph', () => {
  const a = machine({ name: 'Heron 14', chassis: holding(45), heldBy: 'heat' })
  const b = machine({ name: 'Bittern 16', chassis: holding(70) })

  test('says how much, why, what held each machine, and what it would take', () => {
    const gap = explainGap({ a, b })
    const text = sayGapText(gap)
    expect(text).toMatch(/Heron 14 scores .*\s% less than Bittern 16/)
    expect(text).toMatch(/power that each sustains \(45.0.W against 70.0.W\) accounts for −/)
    expect(text).toMatch(/Heron 14 is held by heat; Bittern 16 is held by a power limit/)
    expect(text).toMatch(/Heron 14 would need to sustain 70.* instead of 45.0.W/)
    expect(text).not.toMatch(/maker's limits/)
    expect(sayCautions(gap.cautions)).toMatch(/^Safety: .*maker's limits/)
  })

  test('speaks of time where the score is one', () => {
    const timed = powerLawChip({
      workload: { name: 'tile render', score: 's', better: 'lower' },
      draws: [{ weight: 1, curve: { shape: 'power-law', scale: 1 / 460, exponent: 0.5 } }],
      workPerRun: about(1, 0.1),
    })
    const gap = explainGap({ a: { ...a, chip: timed }, b: { ...b, chip: timed } })
    expect(gap.ratio.value).toBeGreaterThan(1)
    expect(sayGapText(gap)).toMatch(/Heron 14 takes .*\s% more time than Bittern 16/)
    expect(gap.match!.machine).toBe('Heron 14')
  })
})

describe('a machine with another sustained power', () => {
  const base = {
    idleW: 5,
    peakW: 100,
    budgets: [
      { limitW: 80, tauS: 9 },
      { limitW: 60, tauS: 90 },
    ],
    givesWay: 'headroom' as const,
    heat: null,
    timedSteps: [],
    responseS: 1,
  }

  test('holds just that, and keeps its bursts where they exceed it', () => {
    expect(settledPower(withSustained(base, 70))).toBe(70)
    expect(withSustained(base, 70).budgets).toEqual([
      { limitW: 80, tauS: 9 },
      { limitW: 70, tauS: 90 },
    ])
    expect(withSustained(base, 90).budgets).toEqual([{ limitW: 90, tauS: 90 }])
    expect(withSustained(base, 130)).toMatchObject({ peakW: 130 })
    expect(withSustained(base, 60)).toEqual(base)
  })

  test('also when heat or nothing held it', () => {
    const hot = { ...base, budgets: [], heat: { stages: [{ rKPerW: 1.2, tauS: 80 }], ceilingRiseK: 72 } }
    expect(settledPower(hot)).toBeCloseTo(60, 10)
    expect(settledPower(withSustained(hot, 45))).toBeCloseTo(45, 10)
    expect(settledPower(withSustained({ ...base, budgets: [] }, 45))).toBe(45)
  })
})
