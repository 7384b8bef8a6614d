import { describe, expect, it } from 'vitest'
import type { TestedMachine } from '../../../src/machine/testedMachine.js'
import type { Chip } from '../../../src/physics/chip/chip.js'
import { leakageHeat } from '../../../src/physics/chip/leakageHeat.js'
import type { Chassis } from '../../../src/physics/loop/chassis.js'
import { drawGapSides } from '../../../src/predict/gap/drawGapSides.js'
import { type GapMachine, gapMachine } from '../../../src/predict/gap/gapMachine.js'
import { type FromOne, type GapPartName, gapRun, warmScore } from '../../../src/predict/gap/gapRun.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const exact = (watts: number) => about(watts, 1e-9)
/** Held at one power from the first second on. */
const flat = (watts: number, parts: Partial<Chassis> = {}) =>
  oneBudget({ burstW: exact(watts), sustainedW: exact(watts), budgets: [], burstHoldS: null, ...parts })
const machine = (name: string, watts: number, chip: Chip, gapS = 0): GapMachine => ({
  name,
  chip,
  chassis: flat(watts),
  loop: { runs: 6, gapS },
  heldBy: 'power-limit',
})
/** Of one, traits that are named; the rest of two. */
const of =
  (...traits: readonly GapPartName[]): FromOne =>
  (trait) =>
    traits.includes(trait)
const pairOf = (one: GapMachine, two: GapMachine) => drawGapSides(one, two)[0]!

// Scores of 100 × (W / 60)^0.5 and 100 × W / 60.
const ROOT = powerLawChip({}, 0.5, 0)
const LINE = powerLawChip({ name: 'Merlin 12' }, 1, 0)
const ALL: readonly GapPartName[] = [
  'chip at equal power',
  'sustained power',
  'burst and recovery',
  'pauses between runs',
]

describe('a machine that takes its traits from one or the other', () => {
  const run = (fromOne: FromOne) =>
    gapRun(pairOf(machine('a', 60, ROOT), machine('b', 90, LINE, 30)), fromOne)
  const near = (value: number) => expect.closeTo(value, 3)

  it('is either of them when it takes all', () => {
    expect(run(of(...ALL))).toMatchObject({ score: near(100), meanW: near(60), idleW: 5 })
    expect(run(of())).toMatchObject({ score: near(150), meanW: near(90) })
  })

  it('has the score of the one’s chip at the other’s power', () => {
    expect(run(of('chip at equal power')).score).toBeCloseTo(100 * Math.sqrt(1.5), 3)
    expect(run(of('sustained power', 'burst and recovery'))).toMatchObject({
      score: near(100),
      meanW: near(60),
    })
    // The limit is moved to the other's, whoever's habits they are.
    expect(run(of('sustained power')).meanW).toBeCloseTo(60, 0)
    expect(run(of('burst and recovery')).meanW).toBeCloseTo(90, 0)
  })

  it('draws no more than the task asks of its chip', () => {
    const asking = pairOf(machine('a', 60, { ...ROOT, demandW: 45 }), machine('b', 90, LINE))
    expect(gapRun(asking, of('chip at equal power')).meanW).toBeCloseTo(45, 6)
    expect(gapRun(asking, of('sustained power', 'burst and recovery')).meanW).toBeCloseTo(60, 6)
    const idle = pairOf(machine('a', 60, { ...ROOT, demandW: 400 }), machine('b', 90, LINE))
    expect(gapRun(idle, of(...ALL)).meanW).toBeCloseTo(60, 6)
  })

  it('rests as long as the one does', () => {
    const bursts = (gapS: number): GapMachine => ({ ...machine('a', 60, ROOT, gapS), chassis: oneBudget() })
    const rests = pairOf(bursts(0), bursts(60))
    expect(gapRun(rests, of()).meanW).toBeGreaterThan(gapRun(rests, of('pauses between runs')).meanW + 5)
  })
})

describe('its score with the temperature of the silicon', () => {
  const warm = (better: 'higher' | 'lower', kelvinPerW: number, ambientC = 22) => {
    const draws = ROOT.draws.map((draw) => ({ ...draw, heatPerK: 0.002 }))
    const chip: Chip = { ...ROOT, draws, referenceC: 70, workload: { ...ROOT.workload, better } }
    const stages = [{ rKPerW: kelvinPerW, tauS: 10 }]
    const thermal = { resistanceKPerW: exact(kelvinPerW), stages, ceilingC: null, ambientC }
    return { ...machine('a', 60, chip), chassis: flat(60, { thermal }) }
  }
  const loss = Math.exp(-0.002 * leakageHeat(22 + 60, 70))

  it('is less by what leakage takes above the temperature of the curve, and a time longer', () => {
    const pair = pairOf(warm('higher', 1), warm('higher', 1))
    const run = gapRun(pair, of(...ALL))
    expect(warmScore(pair, of(...ALL, 'temperature'), run) / run.score).toBeCloseTo(loss, 6)
    const times = pairOf(warm('lower', 1), warm('lower', 1))
    const timed = gapRun(times, of(...ALL))
    expect(warmScore(times, of(...ALL, 'temperature'), timed) / timed.score).toBeCloseTo(1 / loss, 6)
  })

  it('is that in the cooling of the one, with its pauses', () => {
    const pair = pairOf(warm('higher', 1), warm('higher', 0.5))
    const run = gapRun(pair, of(...ALL))
    const cool = Math.exp(-0.002 * leakageHeat(22 + 30, 70))
    expect(warmScore(pair, of(...ALL), run) / run.score).toBeCloseTo(cool, 6)
    const resting = { ...warm('higher', 1), loop: { runs: 6, gapS: run.durationS } }
    const rests = pairOf(resting, resting)
    const half = Math.exp(-0.002 * leakageHeat(22 + (60 + 5) / 2, 70))
    expect(warmScore(rests, of(), run) / run.score).toBeCloseTo(half, 6)
  })

  it('takes from either machine what is asked for: its chip, its cooling, its pauses', () => {
    const other = warm('higher', 0.5)
    const draws = other.chip.draws.map((draw) => ({ ...draw, heatPerK: 0.004 }))
    const chip = { ...other.chip, name: 'Merlin 12', draws, referenceC: 60 }
    const pair = pairOf(warm('higher', 1), { ...other, chip, loop: { runs: 6, gapS: 60 } })
    const run = { score: 1, meanW: 60, durationS: 60, idleW: 5 }
    const lossOf = (heatPerK: number, celsius: number, referenceC: number) =>
      expect.closeTo(Math.exp(-heatPerK * leakageHeat(celsius, referenceC)), 6)
    expect(warmScore(pair, of('temperature'), run)).toEqual(lossOf(0.004, 22 + 32.5, 60))
    expect(warmScore(pair, of('chip at equal power'), run)).toEqual(lossOf(0.002, 22 + 0.5 * 32.5, 70))
    expect(warmScore(pair, of('pauses between runs'), run)).toEqual(lossOf(0.004, 22 + 30, 60))
  })

  it('is the score where the chip’s temperature is not known', () => {
    const pair = pairOf(machine('a', 60, ROOT), machine('b', 60, ROOT))
    expect(warmScore(pair, of(), gapRun(pair, of()))).toBe(gapRun(pair, of()).score)
  })
})

describe('possible pairs of machines', () => {
  const uncertain = powerLawChip({}, 0.5, 0.1)
  const at90 = (draws: ReturnType<typeof drawGapSides>) =>
    draws.map(({ one, two }) => [one.rate(90), two.rate(90)])

  it('have one chip where both machines have it, and two independent ones else', () => {
    for (const [one, two] of at90(
      drawGapSides(machine('a', 60, uncertain), machine('b', 90, { ...uncertain })),
    ))
      expect(two).toBe(one)
    const other = { ...uncertain, name: 'Merlin 12' }
    const rates = at90(drawGapSides(machine('a', 60, uncertain), machine('b', 90, other)))
    expect(rates.filter(([one, two]) => one! > two!).length).toBeGreaterThan(30)
    expect(rates.filter(([one, two]) => one! < two!).length).toBeGreaterThan(30)
  })

  it('have one chassis where both are the same, and two independent ones else', () => {
    const wide = (watts: number) => flat(watts, { burstW: about(watts, 5) })
    const peaks = (watts: number) =>
      drawGapSides(
        { ...machine('a', 60, ROOT), chassis: wide(60) },
        { ...machine('b', 60, ROOT), chassis: wide(watts) },
      ).map(({ one, two }) => two.machine.peakW / one.machine.peakW)
    expect(peaks(60).every((ratio) => ratio === 1)).toBe(true)
    expect(peaks(90).filter((ratio) => ratio > 1.51).length).toBeGreaterThan(30)
    expect(peaks(90).filter((ratio) => ratio < 1.49).length).toBeGreaterThan(30)
  })

  it('take each draw of a chip as often as it weighs', () => {
    const [low, high] = [0.3, 0.7].map((exponent) => powerLawChip({}, exponent, 0).draws[0]!.curve)
    const draws = [
      { weight: 0.25, curve: low!, heatPerK: 0.001 },
      { weight: 0.75, curve: high! },
    ]
    const sides = drawGapSides(machine('a', 60, { ...ROOT, draws }), machine('b', 90, LINE))
    expect(sides.filter(({ one }) => one.heatPerK === 0.001).length / 96).toBeCloseTo(0.25, 1)
    expect(sides.filter(({ one }) => one.heatPerK === 0).length / 96).toBeCloseTo(0.75, 1)
  })
})

describe('a tested machine in a comparison', () => {
  const load = (startS: number, endS: number) => ({
    startS,
    endS,
    stages: [{ heldBy: { label: 'heat' } }],
    sustained: { levelW: about(61), fromS: startS },
  })
  const tested = (loads: readonly object[]) =>
    ({
      machine: 'heron',
      chip: ROOT,
      chassis: flat(60),
      loop: { runs: 6, gapS: 3 },
      scatter: about(0.004),
      testWarnings: [[]],
      tests: [
        {
          sheet: { machine: 'heron' },
          trials: [{ kind: 'logged', trial: { mode: null }, loads, runs: [] }],
          warnings: [],
        },
      ],
    }) as unknown as TestedMachine

  it('is what was fitted to it, with what its test measured and what held it', () => {
    expect(gapMachine(tested([load(0, 100)]))).toEqual({
      name: 'heron',
      chip: ROOT,
      chassis: flat(60),
      loop: { runs: 6, gapS: 3 },
      heldBy: 'heat',
      measured: { sustainedW: about(61), steadyScore: null },
    })
    expect(gapMachine(tested([])).heldBy).toBe('undetermined')
  })
})
