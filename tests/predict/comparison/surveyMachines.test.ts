import { describe, expect, it } from 'vitest'
import type { ArchiveMachine } from '../../../src/machine/fitArchive.js'
import { chipAt } from '../../../src/physics/chip/chipAt.js'
import { type SurveyGroup, surveyMachines } from '../../../src/predict/comparison/surveyMachines.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

const render = { name: 'tile render', score: 'points', better: 'higher' } as const
const compile = { name: 'whole-tree compile', score: 's', better: 'lower' } as const

function machine(name: string, sustainedW: number): ArchiveMachine {
  return {
    sheet: `${name}.yaml`,
    machine: name,
    mode: null,
    chassis: oneBudget({ name: `${name} case`, sustainedW: about(sustainedW) }),
    sustainedW: about(sustainedW),
    heldBy: 'power-limit',
    reached: true,
    settleAfterS: null,
    steadyScore: null,
    warnings: [],
  }
}

function group(
  name: string,
  rangeW: readonly [number, number],
  parts: Partial<SurveyGroup> = {},
): SurveyGroup {
  const workload = parts.workload ?? render
  const chip = powerLawChip({ name, workload, measuredRangeW: rangeW })
  return { name, workload, chip, machines: [machine(`${name} machine`, rangeW[0] + 2)], ...parts }
}

describe('a survey', () => {
  it('tells every chip at the given power, as the chip itself does, and marks what was not measured there', () => {
    const groups = [group('Kestrel 16', [40, 60]), group('Merlin 12', [50, 80])]
    const [survey] = surveyMachines(groups, 45)
    expect(survey!.atW).toBe(45)
    for (const { chip, score } of survey!.chips)
      expect(score).toEqual(chipAt(groups.find(({ name }) => name === chip)!.chip!, 45)!.score)
    const marked = survey!.chips.filter(({ extrapolated }) => extrapolated)
    expect(marked.map(({ chip }) => chip)).toEqual(['Merlin 12'])
  })

  it('by default chooses the round power that most chips were measured at', () => {
    const ranges = [
      [40, 62],
      [51, 80],
      [52, 58],
      [90, 95],
    ] as const
    const [survey] = surveyMachines(
      ranges.map((range, index) => group(`Chip ${index}`, range)),
      undefined,
    )
    expect(survey!.atW).toBe(55)
  })

  it('keeps workloads apart, and puts the best chip first whichever direction is better', () => {
    const fast = powerLawChip({ name: 'Fast', workload: compile, draws: powerLawChip({}, 0.6).draws })
    const slow = powerLawChip({ name: 'Slow', workload: compile, draws: powerLawChip({}, 0.4).draws })
    const surveys = surveyMachines(
      [
        group('Slow', [50, 70], { workload: compile, chip: slow }),
        group('Fast', [50, 70], { workload: compile, chip: fast }),
        group('Slow', [50, 70], { chip: { ...slow, workload: render } }),
        group('Fast', [50, 70], { chip: { ...fast, workload: render } }),
      ],
      70,
    )
    expect(surveys.map(({ workload }) => workload.name)).toEqual(['whole-tree compile', 'tile render'])
    // Above 60 W, where both have a rate of 100, the steeper curve is ahead: a shorter time, a higher score.
    for (const { chips } of surveys) expect(chips.map(({ chip }) => chip)).toEqual(['Fast', 'Slow'])
  })

  it('orders machines by the watts that they hold, equal ones by their sheet, and keeps one without scores', () => {
    const [survey] = surveyMachines(
      [
        group('Kestrel 16', [40, 60], { machines: [machine('b', 44), machine('a', 44), machine('c', 71)] }),
        group('Unscored', [40, 60], { chip: null, machines: [machine('d', 60)] }),
      ],
      undefined,
    )
    expect(survey!.machines.map(({ machine: name }) => name)).toEqual(['c', 'd', 'a', 'b'])
    expect(survey!.machines.find(({ machine: name }) => name === 'd')!.score).toBe(null)
    expect(survey!.chips.map(({ chip, machines }) => [chip, machines])).toEqual([['Kestrel 16', 3]])
  })

  it('without any score tells the watts alone', () => {
    const [survey] = surveyMachines([group('Kestrel 16', [40, 60], { chip: null })], 45)
    expect(survey).toMatchObject({ atW: null, chips: [], machines: [{ score: null }] })
  })

  it('puts a chip that does no work at the power last, whichever direction is better', () => {
    const draws = powerLawChip().draws.map(({ weight }) => ({
      weight,
      curve: { shape: 'power-law', scale: 0, exponent: 0.5 } as const,
    }))
    for (const workload of [compile, render]) {
      const idle = powerLawChip({ name: 'Idle', workload, draws })
      const groups = [
        group('Idle', [50, 70], { workload, chip: idle }),
        group('Slow', [50, 70], { workload }),
      ]
      const [survey] = surveyMachines(groups, 60)
      expect(survey!.chips.map(({ chip, score }) => [chip, score === null])).toEqual([
        ['Slow', false],
        ['Idle', true],
      ])
      expect(survey!.chips[1]).toMatchObject({ perWatt: null })
      expect(survey!.machines.find(({ chip }) => chip === 'Idle')!.score).toBeNull()
    }
  })

  it('tells equal chips in the order of their names, and each machine with its chip’s score', () => {
    const [survey] = surveyMachines([group('Merlin 12', [40, 60]), group('Kestrel 16', [40, 60])], 50)
    expect(survey!.chips.map(({ chip }) => chip)).toEqual(['Kestrel 16', 'Merlin 12'])
    for (const { score } of survey!.machines) expect(score).toEqual(survey!.chips[0]!.score)
    expect(survey!.chips[0]!.perWatt!.value).toBeCloseTo(survey!.chips[0]!.score!.value / 50, 6)
  })

  it('counts what was measured to within a per cent of the power as measured there', () => {
    const at = (range: readonly [number, number]) =>
      surveyMachines([group('Kestrel 16', range)], 60)[0]!.chips[0]!.extrapolated
    expect([at([60.5, 80]), at([40, 59.5])]).toEqual([false, false])
    expect([at([61, 80]), at([40, 59])]).toEqual([true, true])
  })

  it.each([
    [[[40, 60]], 50],
    [[[3, 8]], 5],
    [
      [
        [3, 15],
        [12, 20],
      ],
      15,
    ],
    [[[12, 19]], 15],
    [
      [
        [45, 55],
        [55, 70],
      ],
      55,
    ],
    [[[41, 44]], 42],
    [[[3.2, 3.6]], 3.4],
  ] as const)('chooses of the powers inside %j the round one in the middle', (ranges, watts) => {
    const groups = ranges.map((range, k) => group(`Chip ${k}`, range))
    expect(surveyMachines(groups, undefined)[0]!.atW).toBe(watts)
  })
})
