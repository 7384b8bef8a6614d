import { describe, expect, it } from 'vitest'
import type { TestedMachine } from '../../../src/machine/testedMachine.js'
import {
  drawnRange,
  evenPowers,
  machineCurve,
  machineSweep,
} from '../../../src/predict/overview/machineCurve.js'
import { about, oneBudget, powerLawChip } from '../fixtures.js'

it('powers are evenly spaced with some more among them, rising, none twice', () => {
  expect(evenPowers([40, 80], 5, [])).toEqual([40, 50, 60, 70, 80])
  expect(evenPowers([40, 80], 3, [70, 55, 60, 40, 80, 30, 90])).toEqual([40, 55, 60, 70, 80])
})

it('a curve is drawn over what was measured and sustained, and a fifth beyond', () => {
  const machine = (measuredRangeW: readonly [number, number], sustainedW: number) =>
    ({
      chip: powerLawChip({ measuredRangeW }),
      chassis: oneBudget({ sustainedW: about(sustainedW) }),
    }) as never
  const range = (...machines: readonly never[]) => drawnRange(machines)
  expect(range(machine([50, 70], 60))).toEqual([50 / 1.2, 70 * 1.2])
  expect(range(machine([50, 70], 40))).toEqual([40 / 1.2, 70 * 1.2])
  expect(range(machine([50, 70], 90), machine([45, 60], 50))).toEqual([45 / 1.2, 90 * 1.2])
})

describe('the curve of a tested machine', () => {
  const tested = (parts: Partial<TestedMachine> = {}): TestedMachine => ({
    ...({
      machine: 'heron',
      tests: [{ sheet: { machine: 'heron' }, trials: [], warnings: [] }],
      loop: { runs: 6, gapS: 0 },
      scatter: about(0.004),
      testWarnings: [[]],
      asTested: { firstScore: null, steadyScore: null },
    } as unknown as TestedMachine),
    chip: powerLawChip(),
    chassis: oneBudget(),
    runs: [
      { meanW: 52.3, score: 95, fittedScore: 93 },
      { meanW: 68.1, score: 105, fittedScore: 106 },
    ] as unknown as TestedMachine['runs'],
    ...parts,
  })

  it('has points from end to end, with those of the runs among them, and the sustained power', () => {
    const { points, runRangeW, sustainedW } = machineCurve(tested(), [40, 80])
    expect(points.map(({ powerW }) => powerW)).toEqual(evenPowers([40, 80], 40, [52.3, 68.1]))
    expect(runRangeW).toEqual([52.3, 68.1])
    expect(sustainedW).toEqual(about(60, 0.5))
    const { score, perWatt } = points.find(({ powerW }) => powerW === 68.1)!
    expect(score.value).toBeCloseTo(100 * (68.1 / 60) ** 0.5, 1)
    expect(perWatt.value).toBeCloseTo(score.value / 68.1, 6)
    // Where it was measured it is known best.
    const width = (of: typeof score) => of.high / of.low
    expect(width(points[0]!.score)).toBeGreaterThan(width(points.find(({ powerW }) => powerW > 58)!.score))
  })

  it('has its runs as they are where temperature makes no difference, else moved to that of the curve', () => {
    const runs = [
      { meanW: 52.3, score: 95 },
      { meanW: 68.1, score: 105 },
    ]
    expect(machineCurve(tested(), [40, 80])).toMatchObject({ runs, referenceC: null })
    expect(machineCurve(tested({ chip: powerLawChip({ referenceC: 70 }) }), [40, 80]).referenceC).toBeNull()
    const [one, ...others] = powerLawChip().draws
    const chip = powerLawChip({ referenceC: 70, draws: [{ ...one!, heatPerK: 0.002 }, ...others] })
    const moved = machineCurve(tested({ chip }), [40, 80])
    expect(moved.referenceC).toBe(70)
    expect(moved.runs.map(({ meanW }) => meanW)).toEqual([52.3, 68.1])
    // What the fit leaves of a run stays: 95 of 93, and 105 of 106.
    expect(moved.runs[0]!.score).toBeCloseTo((100 * (52.3 / 60) ** 0.5 * 95) / 93, 1)
    expect(moved.runs[1]!.score).toBeCloseTo((100 * (68.1 / 60) ** 0.5 * 105) / 106, 1)
  })

  it('is swept over what its chassis might sustain, its own power and the measured ones among it', () => {
    const sweep = machineSweep(tested())!
    expect(sweep.map(({ sustainedW }) => sustainedW)).toEqual(evenPowers([50 / 1.2, 84], 9, [50, 70, 60]))
    const at = (watts: number) => sweep.find(({ sustainedW }) => sustainedW === watts)!.steady.score.value
    expect(at(70) / at(50)).toBeCloseTo((7 / 5) ** 0.5, 2)
  })
})
