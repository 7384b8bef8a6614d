import { describe, expect, test } from 'vitest'
import type { Chip } from '../../../src/physics/chip/chip.js'
import type { Chassis, ThermalModel } from '../../../src/physics/loop/chassis.js'
import { explainGap } from '../../../src/predict/gap/explainGap.js'
import type { GapMachine } from '../../../src/predict/gap/gapMachine.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const exact = (value: number) => about(value, 1e-9)

/** Held at one power from the first second on, known exactly. */
const flat = (watts: number, parts: Partial<Chassis> = {}): Chassis =>
  oneBudget({ burstW: exact(watts), sustainedW: exact(watts), budgets: [], burstHoldS: null, ...parts })

// Scores of 100 (W / 60)^0.5 and 100 W / 60.
const ROOT = powerLawChip({}, 0.5, 0)
const LINE = powerLawChip({ name: 'Merlin 12' }, 1, 0)
const LOOP = { runs: 3, gapS: 0 }

const machine = (name: string, watts: number, parts: Partial<GapMachine> = {}): GapMachine => ({
  name,
  chip: ROOT,
  chassis: flat(watts),
  loop: LOOP,
  heldBy: 'power-limit',
  ...parts,
})
const heron = machine('Heron 14', 60)
const ibis = machine('Ibis 15', 90, { chip: LINE })
const close = (value: number) => expect.closeTo(value, 4)

describe('a gap of chip and power', () => {
  // A chip's part: halfway between none at 60 W and ln(1.5) / 2 at 90 W. The power's: between ln(1.5) and half of it.
  const step = Math.log(1.5)

  test('is shared by the mean over both orders, whoever is named first', () => {
    for (const [a, b, sign] of [
      [heron, ibis, -1],
      [ibis, heron, 1],
    ] as const) {
      const { ratio, parts } = explainGap({ a, b })
      expect(ratio.value).toEqual(close(1.5 ** sign))
      expect(parts.map(({ name, logRatio }) => [name, logRatio.value])).toEqual([
        ['chip at equal power', close((sign * step) / 4)],
        ['sustained power', close((sign * step * 3) / 4)],
        ['burst and recovery', close(0)],
      ])
      expect(parts.map(({ percent }) => percent.value)).toEqual([
        expect.closeTo(100 * Math.expm1((sign * step) / 4), 2),
        expect.closeTo(100 * Math.expm1((sign * step * 3) / 4), 2),
        expect.closeTo(0, 2),
      ])
      // 50 points, shared as the logarithms are.
      expect(parts.map(({ points }) => points)).toEqual([
        expect.closeTo(sign * 12.5, 2),
        expect.closeTo(sign * 37.5, 2),
        expect.closeTo(0, 2),
      ])
    }
  })

  test('carries what is known of both machines along', () => {
    const measured = { score: about(98), runs: 3 } as unknown as NonNullable<GapMachine['measured']>
    const gap = explainGap({ a: { ...heron, heldBy: 'heat', measured }, b: ibis })
    expect(gap).toMatchObject({
      a: 'Heron 14',
      b: 'Ibis 15',
      better: 'higher',
      unit: 'points',
      steady: { a: { value: expect.closeTo(100, 3) }, b: { value: expect.closeTo(150, 3) } },
      sustainedW: { a: exact(60), b: exact(90) },
      heldBy: { a: 'heat', b: 'power-limit' },
    })
    expect(gap.measured).toEqual({ a: measured, b: null })
    expect(explainGap({ a: ibis, b: heron }).measured).toEqual({ a: null, b: null })
  })
})

describe('intervals', () => {
  test('of ratio and parts hold the middle of what draws of a chip give: an exponent of 0.4 to 0.6', () => {
    const chip = powerLawChip({}, 0.5, 0.1)
    const gap = explainGap({ a: machine('Heron 14', 60, { chip }), b: machine('Ibis 15', 90, { chip }) })
    const power = gap.parts[1]!
    // 90 % of exponents spread evenly from 0.4 to 0.6.
    expect(power.logRatio.value).toBeCloseTo(-0.5 * Math.log(1.5), 2)
    expect(power.logRatio.low).toBeCloseTo(-0.59 * Math.log(1.5), 2)
    expect(power.logRatio.high).toBeCloseTo(-0.41 * Math.log(1.5), 2)
    expect(power.percent.low).toBeCloseTo(100 * Math.expm1(power.logRatio.low), 3)
    expect(power.percent.high).toBeCloseTo(100 * Math.expm1(power.logRatio.high), 3)
    expect(gap.ratio.low).toBeCloseTo(1.5 ** -0.59, 2)
    expect(gap.ratio.high).toBeCloseTo(1.5 ** -0.41, 2)
    expect(gap.parts[0]!.logRatio).toMatchObject({ value: 0, low: 0, high: 0, level: 0.9 })
  })
})

test('swapping two machines that are not known exactly changes signs and nothing else', () => {
  const bursts = (name: string, watts: number, exponent: number) =>
    machine(name, watts, {
      chip: powerLawChip({ name: `chip of ${name}` }, exponent, 0.1),
      chassis: oneBudget({
        sustainedW: about(watts, 3),
        budgets: [{ limitW: about(watts, 3), tauS: about(25, 9) }],
      }),
    })
  const [a, b] = [bursts('Heron 14', 60, 0.5), bursts('Ibis 15', 70, 0.7)]
  const [forth, back] = [explainGap({ a, b }), explainGap({ a: b, b: a })]
  expect(forth.ratio.low * back.ratio.high).toBeCloseTo(1, 5)
  for (const [i, { logRatio }] of forth.parts.entries()) {
    expect(logRatio.low).toBeCloseTo(-back.parts[i]!.logRatio.high, 12)
    expect(logRatio.value).toBeCloseTo(-back.parts[i]!.logRatio.value, 12)
  }
})

describe('causes', () => {
  const namesOf = (a: GapMachine, b: GapMachine) => explainGap({ a, b }).parts.map(({ name }) => name)
  const bursts = (runs: number, gapS: number) =>
    machine('Heron 14', 60, { chassis: oneBudget(), loop: { runs, gapS } })

  test('are pauses where they differ by more than half a second, or the number of runs does', () => {
    const basic = ['chip at equal power', 'sustained power', 'burst and recovery']
    expect(namesOf(bursts(3, 2), bursts(3, 2.5))).toEqual(basic)
    expect(namesOf(bursts(3, 2), bursts(3, 2.6))).toEqual([...basic, 'pauses between runs'])
    expect(namesOf(bursts(3, 2.6), bursts(3, 2))).toEqual([...basic, 'pauses between runs'])
    expect(namesOf(bursts(3, 2), bursts(4, 2))).toEqual([...basic, 'pauses between runs'])
  })

  const thermal = (rKPerW: number): ThermalModel => ({
    resistanceKPerW: exact(rKPerW),
    stages: [{ rKPerW, tauS: 10 }],
    ceilingC: null,
    ambientC: 20,
  })
  const warmChip = (parts: Partial<Chip> = {}): Chip => ({
    ...powerLawChip({}, 0.5, 0),
    draws: ROOT.draws.map((draw) => ({ ...draw, heatPerK: 0.002 })),
    referenceC: 70,
    ...parts,
  })
  const warm = (name: string, rKPerW: number | null, chip = warmChip()) =>
    machine(name, 60, { chip, chassis: flat(60, { thermal: rKPerW === null ? null : thermal(rKPerW) }) })

  test('are temperature only where both networks and what heat costs both chips are known', () => {
    expect(namesOf(warm('a', 0.8), warm('b', 1)).at(-1)).toBe('temperature')
    const others: readonly (readonly [GapMachine, GapMachine])[] = [
      [warm('a', 0.8), warm('b', null)],
      [warm('a', null), warm('b', 1)],
      [warm('a', 0.8), warm('b', 1, warmChip({ referenceC: undefined }))],
      [warm('a', 0.8, warmChip({ draws: ROOT.draws })), warm('b', 1)],
    ]
    for (const [a, b] of others) expect(namesOf(a, b)).not.toContain('temperature')
  })

  test('give temperature what leakage costs: the cooler of two machines that are else alike is ahead by it', () => {
    const { parts, ratio } = explainGap({ a: warm('a', 0.8), b: warm('b', 1) })
    // 68 °C against 80 °C: heat is (exp(g (T - 70)) - 1) / g, g = 0.0125 per kelvin.
    const heat = (celsius: number) => Math.expm1(0.0125 * (celsius - 70)) / 0.0125
    const cost = 0.002 * (heat(80) - heat(68))
    expect(parts.at(-1)!.logRatio.value).toBeCloseTo(cost, 3)
    expect(Math.log(ratio.value)).toBeCloseTo(cost, 3)
    for (const part of parts.slice(0, -1)) expect(part.logRatio.value).toBeCloseTo(0, 3)
  })
})

describe('a match', () => {
  test('is none for machines that are level within 0.3 %', () => {
    const near = (watts: number) => explainGap({ a: heron, b: machine('Ibis 15', watts) }).match
    expect(near(60 * 1.0058)).toBeNull()
    expect(near(60 * 1.0062)).not.toBeNull()
    expect(near(60 / 1.0058)).toBeNull()
    expect(near(60 / 1.0062)).not.toBeNull()
  })

  test('is of the machine that is behind, and the power at which it is level: 90 W of its own chip', () => {
    const tall = machine('Ibis 15', 90)
    for (const [a, b] of [
      [heron, tall],
      [tall, heron],
    ] as const) {
      const { match, cautions } = explainGap({ a, b })
      expect(match).toMatchObject({ machine: 'Heron 14', heldW: 60 })
      expect(match!.sustainedW!.value).toBeCloseTo(90, 1)
      expect(cautions).toEqual(['raised-limits', 'hot-surfaces', 'battery-and-mains', 'makers-limits'])
    }
  })

  test('is of the machine that is behind, whatever its name', () => {
    const { match } = explainGap({ a: machine('Wren 13', 60), b: machine('Ibis 15', 90) })
    expect(match).toMatchObject({ machine: 'Wren 13', heldW: 60 })
    expect(match!.sustainedW!.value).toBeCloseTo(90, 1)
  })

  test('is of the machine that takes longer where the score is a time', () => {
    const chip = powerLawChip({
      workload: { name: 'tile render', score: 's', better: 'lower' },
      draws: [{ weight: 1, curve: { shape: 'power-law', scale: 1 / 60 / 60 ** 0.5, exponent: 0.5 } }],
      workPerRun: about(1, 0.1),
    })
    const [slow, fast] = [machine('Heron 14', 60, { chip }), machine('Ibis 15', 90, { chip })]
    for (const [a, b] of [
      [slow, fast],
      [fast, slow],
    ] as const) {
      const gap = explainGap({ a, b })
      expect(gap).toMatchObject({ better: 'lower', unit: 's', match: { machine: 'Heron 14', heldW: 60 } })
      expect(gap.match!.sustainedW!.value).toBeCloseTo(90, 1)
      expect(gap.ratio.value).toEqual(close(1.5 ** (a === slow ? 0.5 : -0.5)))
    }
  })

  test('a per cent above what is held raises no limit, but surfaces get hotter where heat holds it', () => {
    const cautions = (heldBy: GapMachine['heldBy']) =>
      explainGap({ a: { ...heron, heldBy }, b: machine('Ibis 15', 60.6) }).cautions
    expect(cautions('power-limit')).toEqual([])
    expect(cautions('heat')).toEqual(['hot-surfaces', 'makers-limits'])
  })
})

describe('machines that can not be split', () => {
  test('ran different work: name, score or direction', () => {
    const chip = powerLawChip({ workload: { name: 'compile', score: 'points', better: 'higher' } }, 0.5, 0)
    expect(() => explainGap({ a: heron, b: { ...ibis, chip } })).toThrow(
      expect.objectContaining({
        code: 'workloads-differ',
        message:
          'expected two machines that ran the same workload, got "tile render, points, higher is better" and "compile, points, higher is better"',
      }),
    )
  })

  test('have chips of which most draws do no work at the power of the other', () => {
    const idles = (share: number): Chip => {
      const draws = ROOT.draws.map((draw, k) =>
        k < share * ROOT.draws.length
          ? { ...draw, curve: { shape: 'power-law', scale: 0, exponent: 0.5 } as const }
          : draw,
      )
      return { ...ROOT, name: 'Merlin 12', draws }
    }
    const split = (share: number) => () => explainGap({ a: heron, b: { ...ibis, chip: idles(share) } })
    expect(split(0.8)).toThrow(expect.objectContaining({ code: 'gap-beyond-measured' }))
    // Of what is left, all draws say the same.
    expect(split(0.6)().parts[1]!.logRatio.value).toEqual(close(-0.5 * Math.log(1.5)))
  })
})
