import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { ReviewedTest } from '../../../src/machine/review/fitReview.js'
import { dependsOnPower } from '../../../src/predict/review/dependsOnPower.js'
import { reviewMachines } from '../../../src/predict/review/reviewMachines.js'
import { powerLawChip } from '../fixtures.js'
import { reviewedMachine, reviewedTest } from './reviewFixture.js'

const close = (value: number) => expect.closeTo(value, 9)
const TASKS = ['render', 'flight', 'encode'] as const

/** Machines with one score a workload, each at 60 W unless said otherwise. */
function machinesOf(scores: { readonly [machine: string]: readonly number[] }) {
  return Object.entries(scores).map(([name, values]) =>
    reviewedMachine(
      name,
      values.map((score, i) => reviewedTest({ task: TASKS[i]!, scores: [score] })),
    ),
  )
}

describe('a mean over workloads', () => {
  it('is the geometric one: a machine twice as fast in one and half as fast in another is level', () => {
    const [mean] = reviewMachines(machinesOf({ a: [200, 50], b: [100, 100] })).means
    expect(mean!.asTested.ratio.value).toEqual(close(1))
    expect(mean!.asTested.workloads).toEqual(['render', 'flight'])
  })

  it('has X over Z as X over Y times Y over Z, whichever machine the ratios are taken to (Fleming and Wallace 1986)', () => {
    const score = fc.integer({ min: 10, max: 1e4 })
    const scores = fc.tuple(score, score, score)
    fc.assert(
      fc.property(scores, scores, scores, (x, y, z) => {
        const { means } = reviewMachines(machinesOf({ x, y, z }))
        const ratio = (a: string, b: string) =>
          means.find((mean) => mean.a === a && mean.b === b)!.asTested.ratio.value
        expect(ratio('x', 'z') / (ratio('x', 'y') * ratio('y', 'z'))).toEqual(close(1))
      }),
      { seed: 7, numRuns: 20 },
    )
  })

  it('is as uncertain as independent runs leave it: the scatter of one, over the root of their number', () => {
    const one = reviewMachines(machinesOf({ a: [100], b: [100] })).means[0]!.asTested.ratio
    const three = reviewMachines(machinesOf({ a: [100, 100, 100], b: [100, 100, 100] })).means[0]!.asTested
      .ratio
    const width = (of: typeof one) => of.high - of.low
    // 2 x 1.645 x sqrt(2) x 0.4 %, a little more as the scatter itself is uncertain
    expect(width(one)).toBeGreaterThan(0.0186)
    expect(width(one)).toBeLessThan(0.0225)
    expect(width(three) / width(one)).toBeCloseTo(1 / Math.sqrt(3), 1)
  })

  it('at equal power does not average out what is uncertain of the silicon that all workloads share', () => {
    // Each measured at 60 W alone: at the power halfway to 90 W the slope is all that is uncertain.
    const at = (powerW: number, name: string, count: number) =>
      reviewedMachine(
        name,
        TASKS.slice(0, count).map((task) =>
          reviewedTest({ task, powerW, chip: powerLawChip({ name: `chip of ${name}` }, 0.5, 0.2) }),
        ),
      )
    const mean = (count: number) =>
      reviewMachines([at(60, 'a', count), at(90, 'b', count)]).means[0]!.atEqualPower!.ratio
    const width = ({ low, high }: ReturnType<typeof mean>) => Math.log(high / low)
    expect(width(mean(3)) / width(mean(1))).toBeCloseTo(1, 1)
  })

  it('counts a workload once and says what it leaves out, and why', () => {
    const low: Partial<ReviewedTest> = { task: 'flight', metric: 'low', isFirst: false, isOneOfSeveral: true }
    const copy = { task: 'copy', powerW: null, chip: null, heldBy: null }
    const machines = [
      reviewedMachine('a', [
        reviewedTest(),
        reviewedTest(low),
        reviewedTest(copy),
        reviewedTest({ task: 'alone' }),
      ]),
      reviewedMachine('b', [reviewedTest(), reviewedTest(low), reviewedTest(copy)]),
    ]
    const [mean] = reviewMachines(machines).means
    expect(mean!.asTested.workloads).toEqual(['render', 'copy'])
    expect(mean!.atEqualPower!.workloads).toEqual(['render'])
    expect(mean!.leftOut.map(({ workload, from, reason }) => [workload, from, reason])).toEqual([
      ['flight', 'both', 'another-metric'],
      ['copy', 'at equal power', 'no-power'],
      ['alone', 'both', 'one-machine'],
    ])
  })
})

describe('a pair of machines', () => {
  const slope = (exponent: number, name: string) => powerLawChip({ name }, exponent, 0)
  const a = reviewedMachine('a', [
    reviewedTest({ scores: [141.4], powerW: 120, chip: slope(0.5, 'chip of a') }),
  ])
  const b = reviewedMachine('b', [reviewedTest({ scores: [100], powerW: 60, chip: slope(0.5, 'chip of b') })])

  it('of equal chips differs by power alone: twice the watts at elasticity one half', () => {
    const [pair] = reviewMachines([a, b]).results[0]!.pairs
    const parts = Object.fromEntries(pair!.parts!.map((part) => [part.name, part.logRatio.value]))
    expect(parts).toEqual({
      chip: close(0),
      power: close(Math.log(2) / 2),
      temperature: close(0),
      rest: expect.closeTo(0, 3),
    })
    expect(pair).toMatchObject({ powerExplains: 'something', probabilityFirstAhead: 0.5 })
    expect(pair!.atEqualPower!.value).toEqual(close(1))
  })

  it('has parts that add up to the whole exactly, and changes only signs when it is swapped', () => {
    const other = reviewedMachine('c', [
      reviewedTest({ scores: [90], powerW: 80, chip: slope(0.7, 'chip of c') }),
    ])
    const [there] = reviewMachines([a, other]).results[0]!.pairs
    const [back] = reviewMachines([other, a]).results[0]!.pairs
    const sum = there!.parts!.reduce((total, part) => total + part.logRatio.value, 0)
    expect(sum).toEqual(close(Math.log(there!.asTested.value)))
    there!.parts!.forEach((part, i) => {
      expect(back!.parts![i]!.logRatio.value).toEqual(close(-part.logRatio.value))
    })
    expect(back!.atEqualPower!.value * there!.atEqualPower!.value).toEqual(close(1))
  })

  it('counts a time the other way round: less of it is faster', () => {
    const workload = { name: 'encode', score: 's', better: 'lower' } as const
    const timed = (name: string, scores: readonly number[]) =>
      reviewedMachine(name, [reviewedTest({ task: 'encode', workload, scores, powerW: null })])
    const [result] = reviewMachines([timed('a', [50]), timed('b', [100])]).results
    expect(result!.pairs[0]!.asTested.value).toEqual(close(2))
    expect(result!.machines.map(({ score }) => score.value)).toEqual([50, 100])
  })

  it('of which the task asks for no more has no part for power: what it asks for is the chip’s own', () => {
    const asked = (name: string, score: number, powerW: number) =>
      reviewedMachine(name, [
        reviewedTest({ scores: [score], powerW, heldBy: 'demand', chip: slope(0.5, `chip of ${name}`) }),
      ])
    const [pair] = reviewMachines([asked('a', 110, 24), asked('b', 100, 20)]).results[0]!.pairs
    expect(pair!.powerExplains).toBe('nothing')
    expect(pair!.parts!.find((part) => part.name === 'power')!.logRatio).toMatchObject({ low: 0, high: 0 })
  })

  it('with the power of one not known is told as tested, and nothing more', () => {
    const bare = reviewedMachine('c', [reviewedTest({ powerW: null })])
    const [pair] = reviewMachines([a, bare]).results[0]!.pairs
    expect(pair).toMatchObject({ atEqualPower: null, parts: null, powerExplains: null })
    expect(pair!.asTested.value).toBeCloseTo(Math.SQRT2, 2)
  })
})

describe('the parts of a difference', () => {
  const chipOf = (name: string) => {
    const chip = powerLawChip({ name: `chip of ${name}` }, 0.5, 0)
    return { ...chip, referenceC: 78, draws: chip.draws.map((draw) => ({ ...draw, heatPerK: 0.002 })) }
  }
  /** Ten kelvins of leakage heat above 78 degrees C. */
  const HOT_C = 78 + Math.log1p(0.0125 * 10) / 0.0125
  type Power = NonNullable<ReviewedTest['all']['power']>
  const flat: Power['profile'] = { powersW: [60], secondsS: [60], meanW: 60 }
  const machine = (
    name: string,
    score: number,
    power: Partial<Power> = {},
    heldBy: ReviewedTest['heldBy'] = 'power-limit',
  ) => {
    const all = { scores: [score], power: { profile: flat, meanC: null, ...power } }
    return reviewedMachine(name, [reviewedTest({ all, heldBy, chip: chipOf(name) })])
  }
  const partsOf = (a: ReturnType<typeof machine>, b: ReturnType<typeof machine>) => {
    const [pair] = reviewMachines([a, b]).results[0]!.pairs
    return Object.fromEntries(pair!.parts!.map(({ name, logRatio }) => [name, logRatio.value]))
  }

  it('have one for temperature: the cooler machine is ahead, by what leakage costs the other', () => {
    const parts = partsOf(machine('a', 102, { meanC: 78 }), machine('b', 100, { meanC: HOT_C }))
    expect(parts).toEqual({
      chip: close(0),
      power: close(0),
      temperature: close(0.02),
      rest: expect.closeTo(0, 3),
    })
    expect(
      partsOf(machine('b', 100, { meanC: HOT_C }), machine('a', 102, { meanC: 78 })).temperature,
    ).toEqual(close(-0.02))
    // Nothing is said of it where that of one is not known.
    for (const [a, b] of [[null, 90] as const, [90, null] as const])
      expect(partsOf(machine('a', 102, { meanC: a }), machine('b', 100, { meanC: b })).temperature).toEqual(
        close(0),
      )
  })

  it('take the course of the power: its mean rate, not the rate at its mean', () => {
    const course = { powersW: [90, 40], secondsS: [10, 50], meanW: 2900 / 60 }
    const rate = (10 * Math.sqrt(90) + 50 * Math.sqrt(40)) / 60
    const parts = partsOf(machine('a', 100, { profile: course }), machine('b', 100))
    expect(parts.power).toEqual(close(Math.log(rate / Math.sqrt(60))))
    // Of many levels, as many as are near each other count as one.
    const powersW = Array.from({ length: 240 }, (_, i) => 40 + (i % 24))
    const many = { powersW, secondsS: powersW.map(() => 2), meanW: 51.5 }
    const mean = powersW.reduce((sum, watts) => sum + Math.sqrt(watts / 60), 0) / 240
    const thinned = partsOf(machine('a', 100, { profile: many }), machine('b', 100))
    expect(thinned.power).toBeCloseTo(Math.log(mean), 4)
  })

  it('give power its part unless both tasks ask for no more', () => {
    const less = { profile: { powersW: [30], secondsS: [60], meanW: 30 } }
    for (const [a, b] of [
      ['demand', 'power-limit'],
      ['power-limit', 'demand'],
    ] as const)
      expect(partsOf(machine('a', 70, less, a), machine('b', 100, {}, b)).power).toEqual(
        close(-Math.log(2) / 2),
      )
    expect(partsOf(machine('a', 70, less, 'demand'), machine('b', 100, {}, 'demand')).power).toEqual(close(0))
  })

  it('have their means over workloads, which multiply to the mean as tested', () => {
    const of = (name: string, powerW: number) =>
      reviewedMachine(
        name,
        TASKS.map((task, k) =>
          reviewedTest({ task, powerW: powerW + 10 * k, scores: [powerW], chip: chipOf(name) }),
        ),
      )
    const [mean] = reviewMachines([of('a', 80), of('b', 60)]).means
    expect(mean!.parts!.map(({ name }) => name)).toEqual(['chip', 'power', 'temperature', 'rest'])
    const sum = mean!.parts!.reduce((total, { logRatio }) => total + logRatio.value, 0)
    expect(sum).toEqual(close(Math.log(80 / 60)))
    expect(mean!.asTestedThere!.value).toEqual(close(80 / 60))
    const power = mean!.parts!.find(({ name }) => name === 'power')!
    expect(power.logRatio.value).toEqual(close((Math.log(8 / 6) + Math.log(9 / 7) + Math.log(10 / 8)) / 6))
    expect(power.percent.value).toEqual(close(100 * Math.expm1(power.logRatio.value)))
  })
})

describe('a review', () => {
  it('has a mean for each mode, and leaves out of a pair only what one of the two ran', () => {
    const test = (task: string, mode: string, score = 100) => reviewedTest({ task, mode, scores: [score] })
    const { means } = reviewMachines([
      reviewedMachine('a', [test('render', 'mains'), test('render', 'battery', 60)]),
      reviewedMachine('b', [
        test('render', 'mains', 50),
        test('render', 'battery', 50),
        test('flight', 'mains'),
      ]),
      reviewedMachine('c', [test('encode', 'mains')]),
    ])
    expect(
      means.map(({ a, b, mode, asTested, leftOut }) => [
        a,
        b,
        mode,
        asTested.ratio.value,
        leftOut.map(({ workload }) => workload),
      ]),
    ).toEqual([
      ['a', 'b', 'mains', close(2), ['flight']],
      ['a', 'b', 'battery', close(1.2), []],
    ])
  })

  it('holds a mode against the first by each metric of a workload, and counts the first of them in the mean', () => {
    const low: Partial<ReviewedTest> = { metric: 'low', isFirst: false, isOneOfSeveral: true }
    const battery = { mode: 'battery' }
    const { modes } = reviewMachines([
      reviewedMachine('a', [
        reviewedTest({ scores: [100] }),
        reviewedTest({ scores: [50], ...low }),
        reviewedTest({ scores: [80], ...battery }),
        reviewedTest({ scores: [20], ...battery, ...low }),
        reviewedTest({ task: 'flight', ...battery }),
      ]),
      reviewedMachine('b', [reviewedTest(), reviewedTest({ task: 'flight', ...battery })]),
    ])
    expect(modes).toHaveLength(1)
    expect(modes[0]!.ratio.value).toEqual(close(0.8))
    expect(modes[0]!.results.map(({ workload, metric, ratio }) => [workload, metric, ratio.value])).toEqual([
      ['render', 'points', close(0.8)],
      ['render', 'low', close(0.4)],
    ])
  })

  it('compares modes by their settled runs where both have them', () => {
    const { power } = reviewedTest().all
    const ratio = (first: number | null, second: number | null) => {
      const test = (score: number | null, mode: string) =>
        reviewedTest({ scores: [100], mode, steady: score === null ? null : { scores: [score], power } })
      return reviewMachines([reviewedMachine('a', [test(first, 'mains'), test(second, 'battery')])]).modes[0]!
        .ratio.value
    }
    expect(ratio(90, 60)).toEqual(close(60 / 90))
    expect(ratio(90, null)).toEqual(close(1))
    expect(ratio(null, 60)).toEqual(close(1))
  })

  it('takes a mode for the same however sheets spell it, also in workloads that the first machine did not run', () => {
    const test = (task: string, mode: string) => reviewedTest({ task, mode })
    const { results, means } = reviewMachines([
      reviewedMachine('a', [test('render', 'Silent')]),
      ...['b', 'c'].map((name) =>
        reviewedMachine(name, [test('render', 'silent'), test('encode', 'silent')]),
      ),
    ])
    expect(results.map(({ workload, mode }) => [workload, mode])).toEqual([
      ['render', 'Silent'],
      ['encode', 'Silent'],
    ])
    const ofBoth = means.filter(({ a, b }) => a === 'b' && b === 'c')
    expect(ofBoth.map(({ asTested }) => asTested.workloads)).toEqual([['render', 'encode']])
  })

  it('tells modes apart, and each against the first', () => {
    const machine = reviewedMachine('a', [
      reviewedTest({ scores: [100] }),
      reviewedTest({ scores: [80], mode: 'battery' }),
      reviewedTest({ task: 'flight', scores: [60] }),
      reviewedTest({ task: 'flight', scores: [30], mode: 'battery' }),
    ])
    const { results, modes } = reviewMachines([machine])
    expect(results.map(({ workload, mode }) => [workload, mode])).toEqual([
      ['render', 'mains'],
      ['flight', 'mains'],
      ['render', 'battery'],
      ['flight', 'battery'],
    ])
    expect(modes).toMatchObject([{ machine: 'a', mode: 'battery', against: 'mains' }])
    expect(modes[0]!.ratio.value).toEqual(close(Math.sqrt(0.8 * 0.5)))
  })

  it('takes settled runs where every machine shows them, else all', () => {
    const steady = { scores: [90, 91, 89], power: reviewedTest().all.power }
    const a = reviewedMachine('a', [reviewedTest({ steady })])
    expect(reviewMachines([a, reviewedMachine('b', [reviewedTest({ steady })])]).results[0]).toMatchObject({
      basis: 'steady',
      machines: [{ runs: 3, score: { value: 90 } }, { runs: 3 }],
    })
    expect(reviewMachines([a, reviewedMachine('b', [reviewedTest()])]).results[0]!.basis).toBe('all')
  })

  it.each([
    [
      'two machines of one name',
      [reviewedMachine('a', [reviewedTest()]), reviewedMachine('a', [reviewedTest()])],
      'machine-named-twice',
    ],
    [
      'one metric in two units',
      [
        reviewedMachine('a', [reviewedTest()]),
        reviewedMachine('b', [reviewedTest({ workload: { name: 'render', score: 's', better: 'lower' } })]),
      ],
      'metrics-differ',
    ],
  ])('of %s is refused', (_what, machines, code) => {
    expect(() => reviewMachines(machines)).toThrow(expect.objectContaining({ code }))
  })

  it('says which machine was named twice, in which sheet, and what to do', () => {
    const twice = [reviewedMachine('a', [reviewedTest()]), reviewedMachine('a', [reviewedTest()])]
    expect(() => reviewMachines(twice)).toThrow(
      expect.objectContaining({
        message: expect.stringContaining('got two of a'),
        details: {
          where: { file: twice[0]!.file },
          remedy: expect.stringContaining('tests of one machine belong in one sheet'),
        },
      }),
    )
  })

  it('tells of each machine what it is', () => {
    const [a] = machinesOf({ a: [100] })
    const { file, machine, chip, chassis } = a!
    expect(reviewMachines([a!]).machines).toEqual([{ file, machine, chip, chassis }])
  })
})

describe('whether a result depends on power', () => {
  const elasticity = (low: number, high: number) => ({ value: (low + high) / 2, low, high, level: 0.9 })
  it.each([
    [elasticity(-0.02, 0.06), 'power-limit', 'no'],
    [elasticity(0.3, 0.5), 'power-limit', 'yes'],
    [elasticity(0, 0.7), 'undetermined', 'unclear'],
    [elasticity(0.3, 0.5), 'demand', 'task'],
  ] as const)('is told by its elasticity %o and what held it: %s', (of, heldBy, verdict) => {
    expect(dependsOnPower(of, heldBy)).toBe(verdict)
  })
})
