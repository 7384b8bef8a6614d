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
})
